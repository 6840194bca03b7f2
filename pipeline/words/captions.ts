/** What is to be seen in a moving picture, and when, as WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format"). */

export interface Caption {
  text: string;
  seconds: number;
}

/** Captions one after another from the start. */
export function webVtt(captions: readonly Caption[]): string {
  let time = 0;
  const cues = captions.map(({ text, seconds }) => {
    const from = time;
    time += seconds;
    return `${stamp(from)} --> ${stamp(time)}\n${escaped(text)}\n`;
  });
  return ['WEBVTT\n', ...cues].join('\n');
}

/** mm:ss.ttt, with hours before them if there are any. */
function stamp(seconds: number): string {
  const ms = Math.round(1000 * seconds);
  const part = (v: number, digits: number) => String(v).padStart(digits, '0');
  const hours = Math.floor(ms / 3_600_000);
  const rest = `${part(Math.floor(ms / 60_000) % 60, 2)}:${part(Math.floor(ms / 1000) % 60, 2)}.${part(ms % 1000, 3)}`;
  return hours > 0 ? `${part(hours, 2)}:${rest}` : rest;
}

/** Cue text may hold no markup of its own, no line of its own and no arrow. */
function escaped(text: string): string {
  const named = text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
  return named.replace(/\s+/g, ' ').trim();
}
