/**
 * Money: ISO 4217 codes and their minor units, as ECMA-402 takes them from that standard (`CurrencyDigits`), and the
 * one rounding rule of all prices: to the nearest step, halves away from zero.
 */

export function isCurrency(code: string): boolean {
  return /^[A-Z]{3}$/.test(code) && Intl.supportedValuesOf('currency').includes(code);
}

/** Decimal places of a currency: 2 for EUR, 0 for JPY, 3 for KWD. */
export function minorDigits(currency: string): number {
  const { maximumFractionDigits } = new Intl.NumberFormat('en', {
    style: 'currency',
    currency,
  }).resolvedOptions();
  return maximumFractionDigits ?? 2;
}

/**
 * To the nearest multiple of `step`, halves away from zero. Twelve digits are kept before halves are told, so that
 * 1.005, which binary fractions hold as 1.00499…, is a half.
 */
export function roundMoney(amount: number, step: number): number {
  const steps = Number((Math.abs(amount) / step).toPrecision(12));
  const whole = Math.floor(steps + 0.5) * step;
  return Math.sign(amount) * Number(whole.toPrecision(12));
}

/** To the currency's minor unit. */
export function toMinor(amount: number, currency: string): number {
  return roundMoney(amount, 10 ** -minorDigits(currency));
}

/** `1234.50`: decimal point, the currency's places, no grouping; the form of feeds and of schema.org. */
export function plainAmount(amount: number, currency: string): string {
  return amount.toFixed(minorDigits(currency));
}
