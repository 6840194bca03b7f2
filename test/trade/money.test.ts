import { describe, expect, it } from 'vitest';
import { isCurrency, minorDigits, plainAmount, roundMoney, toMinor } from '../../pipeline/trade/money.ts';

describe('money', () => {
  it('knows the minor units that ISO 4217 lists', () => {
    // ISO 4217 table A.1 (from memory): exponents 2, 0, 3
    expect(['EUR', 'USD', 'CHF', 'JPY', 'KRW', 'KWD', 'BHD'].map(minorDigits)).toEqual([2, 2, 2, 0, 0, 3, 3]);
    expect(['EUR', 'eur', 'EURO', 'ZZZ'].map(isCurrency)).toEqual([true, false, false, false]);
    expect([plainAmount(1234.5, 'EUR'), plainAmount(1234, 'JPY'), plainAmount(0.1, 'KWD')]).toEqual([
      '1234.50',
      '1234',
      '0.100',
    ]);
  });

  it('rounds to the nearest step, halves away from zero, also where binary fractions fall short', () => {
    expect(toMinor(1.005, 'EUR')).toBe(1.01);
    expect(toMinor(2.675, 'EUR')).toBe(2.68);
    expect(toMinor(-1.005, 'EUR')).toBe(-1.01);
    expect(toMinor(0.5, 'JPY')).toBe(1);
    expect(roundMoney(1872.4, 10)).toBe(1870);
    expect(roundMoney(1875, 10)).toBe(1880);
    expect(roundMoney(12.34, 0.05)).toBe(12.35);
  });
});
