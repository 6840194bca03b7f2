import { beforeAll, describe, expect, it } from 'vitest';
import { skuFilter } from '../../pipeline/cli/sku-filter.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { planOf } from '../plan/workspace.ts';

let plan: Plan;
beforeAll(async () => {
  ({ plan } = await planOf(`catalogue: trial
title: Trial
workshop: Trial bench
template: plain-court
grid: { size: [ISO 53, ISO 54, US 7], width: [4 mm, 5 mm], metal: [yellow-18, { label: Warm & red, slug: RED, value: rose-18 }] }
shots: [three-quarter, macro, pair]
pairs: [{ name: duo, when: { size: ISO 53 }, partner: { size: ISO 60 } }]
`));
});

const letThrough = (text: string) => {
  const wanted = skuFilter(text, plan);
  return [...plan.variants, ...plan.pairs].filter(({ sku }) => wanted?.(sku)).length;
};

describe('--only', () => {
  // 3 sizes × 2 widths × 2 metals, and a pair of each of the four bands of ISO 53
  it.each([
    ['*', 16],
    ['*-duo', 4],
    ['size=ISO 5*', 12],
    ['width=4 mm', 8],
    ['metal=RED', 8],
    ['metal=warm & red', 8],
    ['metal=y18, size=US 7', 2],
    ['size=iso 54,width=5 mm,metal=RED', 1],
  ])('%s lets %i items through', (text, count) => {
    expect(letThrough(text)).toBe(count);
  });

  it.each([
    ['colour=red', /expected axis=value with one of the axes size, width, metal but received colour=red/],
    ['size=ISO 53,', /but received nothing/],
    ['size=ISO 99', /expected a value of size, ISO 53.* but received ISO 99/],
    ['metal=', /Warm & red \(RED\), but received nothing/],
    ['ISO*99', /no SKU matches ISO\*99; there are 16.*size=… or width=… or metal=…/],
  ])('%s is refused with what there is', (text, message) => {
    expect(() => skuFilter(text, plan)).toThrow(message);
  });
});
