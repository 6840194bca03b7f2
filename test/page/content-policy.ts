import { createHash } from 'node:crypto';

/** Holds a page to its policy (W3C CSP Level 3): one style, named by hash, and none in the markup. */
export function expectStylesByHash(html: string): void {
  const policy = /Content-Security-Policy" content="([^"]*)"/.exec(html)?.[1] ?? '';
  const [, style = ''] = /<style>([\s\S]*?)<\/style>/.exec(html) ?? [];
  const hash = createHash('sha256').update(style).digest('base64');
  if (!policy.includes(`style-src 'sha256-${hash}'`))
    throw new Error(`the policy does not name the style: ${policy}`);
  if (policy.includes('unsafe-inline') || /<[^>]+\sstyle=/.test(html.replace(style, '')))
    throw new Error('a style in the markup');
}
