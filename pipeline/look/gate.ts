/**
 * Who may ask the live view's server, and what browsers are told of its answers: only a page of its own (or the address
 * bar) with the token of this server, by this machine's own address.
 *
 * The opener and embedder policies make pages "cross-origin isolated", without which browsers withhold
 * SharedArrayBuffer (HTML Standard, section "Cross-origin isolation").
 */
import { randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import { hashOf } from '../words/html.ts';

/** A random name that pages are given at the head of every path. */
export const newToken = () => randomBytes(24).toString('hex');

/** Status of the refusal of another program's or another site's request. */
export function refusedAs(
  { headers, method }: IncomingMessage,
  given: string,
  token: string,
  origin: string,
): 403 | 404 | undefined {
  const bytes = Buffer.from(given);
  if (bytes.length !== token.length || !timingSafeEqual(bytes, Buffer.from(token))) return 404;
  // a name that leads here (DNS rebinding) is not this address
  if (headers.host !== new URL(origin).host) return 403;
  if (headers.origin !== undefined && headers.origin !== origin) return 403;
  if (method === 'POST' && headers.origin !== origin) return 403;
  const site = headers['sec-fetch-site'];
  return site === undefined || site === 'same-origin' || site === 'none' ? undefined : 403;
}

/** @param style the one style sheet that stands in the page */
export function securityHeaders(style: string): Record<string, string> {
  const policy = [
    "default-src 'none'",
    "script-src 'self' 'wasm-unsafe-eval'",
    "worker-src 'self'",
    "connect-src 'self'",
    "img-src 'self' data: blob:",
    `style-src '${hashOf(style)}'`,
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ');
  return {
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Embedder-Policy': 'require-corp',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Content-Security-Policy': policy,
    'X-Content-Type-Options': 'nosniff',
    // the token must not be told to anybody
    'Referrer-Policy': 'no-referrer',
    'Cache-Control': 'no-store',
  };
}
