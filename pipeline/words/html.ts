/** What every page that is written as text needs: text and data that stay what they are, styles and scripts by their hash. */
import { createHash } from 'node:crypto';

/** Safe in element text and in quoted attributes. */
export function escapeHtml(text: string): string {
  const entities: Record<string, string> = {
    '&': '&amp;',
    '<': '&lt;',
    '>': '&gt;',
    '"': '&quot;',
    "'": '&#39;',
  };
  return text.replace(/[&<>"']/g, (c) => entities[c]);
}

/** JSON that cannot end its script element or be read as markup. */
export function jsonForScript(value: unknown): string {
  return JSON.stringify(value).replace(
    /[<>&\u2028\u2029]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

/** As a content security policy names an inline element it lets through (W3C CSP Level 3, 8.3). */
export function hashOf(text: string): string {
  return `sha256-${createHash('sha256').update(text).digest('base64')}`;
}
