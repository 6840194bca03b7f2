import { MARKETS } from '../trade/market.ts';
import { type LetterheadPlan, type OrderPlan, PROOF_IMAGES, type ProofPlan } from './client-plan.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { checkTranslations, type LocalText, textIn } from './local-text.ts';
import type { ImageOutput, WatermarkPlan } from './plan.ts';
import { characterNames, missingCharacters } from './typeface.ts';
import type { FieldPath } from './yaml-source.ts';

/** Pictures in proofs are printed 170 mm wide at most: 1400 px make 200 dots per inch of it. */
const PROOF_WIDTH = 1400;

/** Whether the config asks for proofs: by itself, or by naming orders. */
export function wantsProofs({ proofs, orders }: Config): boolean {
  return proofs !== false || orders !== undefined;
}

/** @param watermark of proof pictures, if they have their own */
export function planProofs(
  config: Config,
  letterhead: LetterheadPlan,
  orders: OrderPlan[],
  findings: Findings,
): ProofPlan | undefined {
  if (!wantsProofs(config)) return undefined;
  const { proofs } = config;
  const own = typeof proofs === 'object' ? proofs : undefined;
  const market = MARKETS.get(config.market ?? '');
  const options = own?.options ?? [];
  const languages = [...new Set([config.language, ...orders.map((o) => o.language)])];
  const { logo: _, smallPrint = '', address, ...names } = letterhead;
  const texts = (text: LocalText) => languages.map((l) => textIn(text, l));
  checkLetters([config.title], ['title'], findings);
  checkLetters([...Object.values(names), ...address, ...texts(smallPrint)], ['workshop'], findings);
  checkTranslations(smallPrint, languages, ['workshop', 'small-print'], findings);
  options.forEach((option, i) => {
    checkTranslations(option, languages, ['proofs', 'options', i], findings);
    checkLetters(texts(option), ['proofs', 'options', i], findings);
  });
  if (own?.terms !== undefined) {
    checkTranslations(own.terms, languages, ['proofs', 'terms'], findings);
    checkLetters(texts(own.terms), ['proofs', 'terms'], findings);
  }
  if (config.price?.tax)
    checkTranslations(config.price.tax.name, languages, ['price', 'tax', 'name'], findings);
  return {
    pairs: own?.pairs ?? proofs === true,
    papers: [...new Set(own?.paper ?? [market?.paper ?? 'a4'])],
    options,
    ...(own?.expires ? { expires: own.expires } : {}),
    ...(own?.deposit === undefined ? {} : { deposit: own.deposit }),
    ...(own?.terms === undefined ? {} : { terms: own.terms }),
    orders,
  };
}

/** The output that makes pictures for proofs. */
export function proofImages(config: Config, watermark: WatermarkPlan | false | undefined): ImageOutput[] {
  if (!wantsProofs(config)) return [];
  const mark = watermark === undefined ? {} : { watermark };
  return [{ name: PROOF_IMAGES, format: 'jpeg', widths: [PROOF_WIDTH], quality: 90, ...mark }];
}

/** Config's own words on proofs must be in the proofs' typeface. */
function checkLetters(texts: readonly string[], path: FieldPath, findings: Findings): void {
  const missing = missingCharacters(texts.join(' '));
  if (missing.length === 0) return;
  findings.add({
    code: 'no-such-letters',
    path,
    expected: 'letters that the proofs’ typeface has: Latin, Greek, Cyrillic or Devanagari',
    received: characterNames(missing),
    advice: 'Write it in one of those scripts.',
  });
}
