/** A run drawn by time as SVG: shapes, takes, pictures and other files, one lane each. Across, all lengths are in %. */

import { dayWording, duration, timeWording } from '../words/amount-words.ts';
import { escapeHtml } from '../words/html.ts';
import { type RunRecord, retryWords, type TakeEnd } from './run-record.ts';

const LANE = { height: 26, gap: 30, labels: 18 };
/** Least width of a mark, %; closer neighbours of one kind are drawn as one. */
const LEAST = 0.12;
/** Seconds between ticks to choose from. */
const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400];
/** Most ticks, so that their labels keep apart on a phone. */
const TICKS = 5;

interface Mark {
  from: number;
  to: number;
  kind: string;
  title: string;
  /** marks drawn as one */
  of: number;
}

interface Lane {
  name: string;
  marks: Mark[];
}

const ENDS: Record<TakeEnd, string> = {
  made: 'traced',
  failed: 'failed',
  left: 'left for want of time',
  stopped: 'stopped in it',
};

/** Empty if nothing happened that could be drawn. */
export function timeline(record: RunRecord): string {
  const { started, ended } = record;
  const span = Math.max(ended - started, 1);
  const lanes = lanesOf(record).filter((lane) => lane.marks.length > 0);
  if (lanes.length === 0) return '';
  const at = (time: number) => Math.min(100, Math.max(0, (100 * (time - started)) / span));
  const x = (time: number) => at(time).toFixed(3);
  const pitch = LANE.height + LANE.gap;
  const bottom = lanes.length * pitch + LANE.labels;
  const drawn = lanes.map(({ name, marks }, i) => {
    const y = i * pitch + LANE.labels;
    const bars = joined(marks, (LEAST / 100) * span).map((m, k) => {
      const width = Math.max(LEAST, at(m.to) - at(m.from)).toFixed(3);
      return `<rect class="${m.kind}${k % 2 ? ' odd' : ''}" x="${x(m.from)}%" y="${y}" width="${width}%" height="${LANE.height}"><title>${escapeHtml(m.title)}</title></rect>`;
    });
    return `<text x="0" y="${y - 6}">${escapeHtml(name)}</text><rect class="rail" x="0" y="${y}" width="100%" height="${LANE.height}"/>${bars.join('')}`;
  });
  const ticks = ticksOf(started, ended).map(({ time, label }) => {
    const anchor = at(time) > 92 ? 'end' : at(time) < 8 ? 'start' : 'middle';
    return `<line x1="${x(time)}%" x2="${x(time)}%" y1="${LANE.labels}" y2="${bottom - 8}"/><text class="tick" x="${x(time)}%" y="${bottom + 8}" text-anchor="${anchor}">${label}</text>`;
  });
  const what = `Timeline of the run: ${lanes.map((l) => l.name).join('; ')}. The tables below tell the same in figures.`;
  return `<svg role="img" aria-label="${escapeHtml(what)}" width="100%" height="${bottom + 14}">${ticks.join('')}${drawn.join('')}</svg>`;
}

function lanesOf({ shapes, takes, encodes, files }: RunRecord): Lane[] {
  const pictures: Mark[] = [];
  for (let i = 0; i < encodes.length; i += 2)
    pictures.push({ from: encodes[i], to: encodes[i + 1], kind: 'encode', title: 'a picture', of: 1 });
  pictures.sort((a, b) => a.from - b.from);
  return [
    {
      name: `Shapes built: ${shapes.length}`,
      marks: shapes.map(({ from, to, triangles, stones }) => ({
        from,
        to,
        kind: 'shape',
        title: `shape, ${triangles.toLocaleString('en')} triangles, ${stones} stones, ${duration((to - from) / 1000)}`,
        of: 1,
      })),
    },
    {
      name: `Takes: ${takes.length}`,
      marks: takes.map(({ from, to, label, end, retries }) => ({
        from,
        to,
        kind: `take ${end}`,
        title: `${label}: ${ENDS[end]}, ${duration((to - from) / 1000)}${retries.length > 0 ? `, ${retryWords(retries.length)}` : ''}`,
        of: 1,
      })),
    },
    { name: `Pictures encoded: ${pictures.length}`, marks: pictures },
    {
      name: `Models, files for the caster, sheets and proofs: ${files.at.length}`,
      marks: files.at.map((time) => ({ from: time, to: time, kind: 'file', title: 'a file', of: 1 })),
    },
  ];
}

/** Neighbours of one kind that would touch on the page, as one: a night of takes stays a few hundred marks. */
function joined(marks: readonly Mark[], gap: number): Mark[] {
  const all: Mark[] = [];
  for (const mark of marks) {
    const last = all[all.length - 1];
    const small = last && (mark.to - mark.from < gap || last.to - last.from < gap || last.of > 1);
    const touches = last && mark.from - last.to < gap && mark.kind === last.kind;
    const overlaps = last && mark.from < last.to && mark.kind === last.kind;
    if (last && ((small && touches) || overlaps)) {
      last.of++;
      last.to = Math.max(last.to, mark.to);
      last.title = `${last.of} in ${duration((last.to - last.from) / 1000)}`;
    } else all.push({ ...mark });
  }
  return all;
}

/** At round times of this machine's clock; the first of a day carries its date. */
function ticksOf(started: number, ended: number): { time: number; label: string }[] {
  const seconds = (ended - started) / 1000;
  const step = STEPS.find((s) => seconds / s <= TICKS) ?? Math.ceil(seconds / TICKS / 86400) * 86400;
  const midnight = new Date(started).setHours(0, 0, 0, 0);
  const first = midnight + Math.ceil((started - midnight) / 1000 / step) * step * 1000;
  const ticks: { time: number; label: string }[] = [];
  for (let time = first; time <= ended; time += step * 1000) {
    const at = new Date(time);
    ticks.push({ time, label: step >= 86400 ? dayWording(at) : timeWording(at, step < 60) });
  }
  return ticks;
}
