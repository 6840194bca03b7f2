/** The live view's page as it is served: what stands before the script has run, the words, and nothing of the config's. */
import { pageNames } from '../page/page-index.ts';
import { escapeHtml, jsonForScript } from '../words/html.ts';
import { messagesOf } from '../words/locale.ts';
import type { LookState } from './contract.ts';
import type { PageWords } from './reader/page-words.ts';

/** @param style goes in as it is: the policy names its hash */
export function lookPage({ language, tag, title }: LookState, style: string): string {
  const { look, page, views } = messagesOf(language);
  const words: PageWords = { tag, look, page: { ...page, ...pageNames(language) }, views };
  return `<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<link rel="icon" href="data:,">
<title>${escapeHtml(title || look.live)} – ${escapeHtml(look.live)}</title>
<style>${style}</style>
</head>
<body>
<a class="skip" href="#paper">${escapeHtml(look.toPicture)}</a>
<header>
<h1></h1>
<p class="standing" role="status"></p>
<p class="written" role="status"></p>
<div class="tools"></div>
</header>
<p class="narrow">${escapeHtml(look.tooNarrow)}</p>
<div class="mistakes" role="alert"></div>
<main id="paper" class="paper" tabindex="-1"></main>
<noscript><p>${escapeHtml(look.noScript)}</p></noscript>
<script type="application/json" id="words">${jsonForScript(words)}</script>
<script type="module" src="look.js"></script>
</body>
</html>
`;
}
