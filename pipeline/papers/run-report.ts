/** The report of a run as one page of HTML that holds everything: no script, nothing that loads. */
import { createHash } from 'node:crypto';
import { bytes, clockWording, counted, duration, percent, rateWording } from '../words/amount-words.ts';
import { escapeHtml } from '../words/html.ts';
import type { CheckTally, Fault, RunRecord, TakeSpan } from './run-record.ts';
import { REPORT_STYLE } from './run-report-style.ts';
import {
  endingWords,
  foretoldAll,
  madeOf,
  quarantinesOf,
  retriesOf,
  takesThat,
  tookAll,
  tookOf,
} from './run-summary.ts';
import { timeline } from './run-timeline.ts';

/** Rows of a table; a large run has thousands of takes, of which the page shows those that matter most. */
const ROWS = 400;
const SLOWEST = 10;
/** SKUs named in a cell. */
const NAMED = 8;

export function runReport(record: RunRecord): string {
  const title = record.share ? `${record.title}, share ${record.share}` : record.title;
  const style = createHash('sha256').update(REPORT_STYLE).digest('base64');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-${style}'; base-uri 'none'; form-action 'none'">
<meta name="referrer" content="no-referrer">
<title>${escapeHtml(title)}: run of ${clockWording(new Date(record.started))}</title>
<style>${REPORT_STYLE}</style></head><body><main>
${head(record, title)}
${figures(record)}
${section('Timeline', drawn(record))}
${section('What could not be made', faults(record))}
${section('Tried again', retries(record))}
${section('Bench checks that did not pass', checks(record))}
${section('Held back', heldBack(record))}
${section('Slowest takes', slowest(record))}
${section('Noise and time, asked or foretold and reached', noise(record))}
${section('Warnings', list(record.warnings))}
${section('The command', command(record))}
${section('Machine', machine(record))}
</main></body></html>
`;
}

/** Left out if there is nothing to tell. */
function section(title: string, body: string): string {
  return body && `<section><h2>${title}</h2>\n${body}</section>`;
}

function head(record: RunRecord, title: string): string {
  const { started, ended, exit, problem, lowered } = record;
  const tone = exit === 0 ? 'good' : exit === 3 || exit === 130 ? 'late' : 'bad';
  const took = duration((ended - started) / 1000);
  const eased = lowered
    ? `<p>To end in time the noise target of what was to be traced was ${percent(lowered.noise)} instead of ${percent(lowered.asked)}. A run without an end makes the full quality.</p>`
    : '';
  return `<header><h1>${escapeHtml(title)}</h1>
<p class="when">Run of ${clockWording(new Date(started))} to ${clockWording(new Date(ended))}, ${took}</p>
<p class="ending ${tone}">${escapeHtml(endingWords(record))}, exit status ${exit}</p>
${problem ? `<p class="problem">${escapeHtml(problem)}</p>` : ''}${eased}</header>`;
}

function figures(record: RunRecord): string {
  const { planned, held, made, failed, left, encodes, shapes, takesPerHour, peakMemory, pauses } = record;
  const rows: [string, string | number, string?][] = [
    ...(made === undefined
      ? []
      : [['Bands and pairs made', made, `${failed.length} failed`] as [string, number, string]]),
    [
      'Takes traced',
      takesThat(record, 'made'),
      planned &&
        `${held.takes} of ${planned.takes} ${record.workers ? 'in the store or made by workers' : 'were in the store'}`,
    ],
    ...(madeOf(record).length > 0
      ? [
          ['Tracing took', duration(tookAll(record)), `${duration(foretoldAll(record))} were foretold`] as [
            string,
            string,
            string,
          ],
        ]
      : []),
    ['Takes per hour', takesPerHour > 0 ? rateWording(takesPerHour) : '–', 'while it traced'],
    [
      'Pictures encoded',
      encodes.length / 2,
      planned && `${held.pictures} of ${planned.pictures} were in the store`,
    ],
    ['Shapes built', shapes.length, planned && `${held.shapes} of ${planned.shapes} were in the store`],
    ['Tried again', retriesOf(record), 'attempts at takes'],
    ['Given up', quarantinesOf(record), 'or in quarantine'],
    ...(pauses.times > 0
      ? [['Paused', duration(pauses.seconds), `${pauses.times} times`] as [string, string, string]]
      : []),
    ...(left.length > 0
      ? [['Left', left.length, 'takes, for want of time'] as [string, number, string]]
      : []),
    [
      'Peak memory',
      bytes(peakMemory),
      record.peakWithBrowser ? `of Node; ${bytes(record.peakWithBrowser)} with the browser` : 'of Node',
    ],
    ...(record.bytes > 0
      ? [['Written', bytes(record.bytes), 'pictures and models'] as [string, string, string]]
      : []),
  ];
  const cells = rows.map(
    ([name, value, more]) =>
      `<div><dt>${name}</dt><dd>${value}${more ? `<small>${escapeHtml(more)}</small>` : ''}</dd></div>`,
  );
  return `<dl class="figures">${cells.join('')}</dl>`;
}

function drawn(record: RunRecord): string {
  const svg = timeline(record);
  if (!svg) return '';
  const key = (kind: string, words: string) =>
    `<li><svg aria-hidden="true" viewBox="0 0 10 10"><rect class="${kind}" width="10" height="10"/></svg>${words}</li>`;
  const { takes } = record;
  const legend = [
    takes.some((t) => t.end === 'failed') ? key('take failed', 'take failed') : '',
    takes.some((t) => t.end === 'left' || t.end === 'stopped') ? key('take left', 'take not finished') : '',
  ].join('');
  return `${svg}${legend && `<ul class="legend">${key('take', 'take traced')}${legend}</ul>`}`;
}

const KINDS: Record<Fault['kind'], string> = {
  shape: 'a shape',
  take: 'a take, now in quarantine',
  quarantine: 'a take left in quarantine',
  part: 'a part for the caster',
  sheet: 'a bench sheet',
  other: '',
};

function faults({ faults: all, left }: RunRecord): string {
  const rows = all
    .slice(0, ROWS)
    .map(({ kind, name, skus, reason }) => [
      escapeHtml([KINDS[kind], kind === 'sheet' ? '' : name].filter(Boolean).join(': ')),
      escapeHtml(someOf(skus)),
      { class: 'why', html: escapeHtml(reason) },
    ]);
  const waiting = left.length > 0 ? `<p>Left for want of time: ${escapeHtml(someOf(left, 40))}.</p>` : '';
  return (
    (rows.length > 0 ? table(['What', 'Left out', 'Why'], rows, 'what could not be made') : '') +
    beyond(all.length) +
    waiting
  );
}

function retries({ takes }: RunRecord): string {
  const again = takes.filter((t) => t.retries.length > 0);
  const rows = again
    .slice(0, ROWS)
    .map((t) => [
      escapeHtml(t.label),
      number(String(t.retries.length)),
      { class: 'why', html: escapeHtml([...new Set(t.retries)].join('\n')) },
      t.end === 'made' ? 'then traced' : 'not traced',
    ]);
  if (rows.length === 0) return '';
  return table(['Take', number('Times'), 'Why', ''], rows, 'takes tried again') + beyond(again.length);
}

function checks({ checks: all, made }: RunRecord): string {
  if (made === undefined) return '';
  const row = ({ rule, severity, bands, example, waived }: CheckTally) => [
    escapeHtml(rule.replaceAll('-', ' ')),
    number(String(bands)),
    escapeHtml(
      `${example.sku}: ${example.measured}, limit ${example.limit}${example.place ? `, ${example.place}` : ''}`,
    ),
    waived === undefined ? severity : `waived: ${escapeHtml(waived)}`,
  ];
  if (all.length === 0) return '<p>None.</p>';
  const order = [...all].sort(
    (a, b) => Number(a.waived !== undefined) - Number(b.waived !== undefined) || b.bands - a.bands,
  );
  const heads = ['Rule', number('Bands'), 'For example', ''];
  return `${table(heads, order.slice(0, ROWS).map(row), 'bench checks that did not pass')}
<p class="soft">Thin walls, undersized claws and casting faults hurt people and lose stones. Have a qualified goldsmith check every piece before it is made, waived checks included; local rules come first.</p>`;
}

function heldBack({ heldBack: all }: RunRecord): string {
  if (all.length === 0) return '';
  const rows = all.slice(0, ROWS).map(({ sku, rules }) => [escapeHtml(sku), escapeHtml(rules.join(', '))]);
  return `${table(['Band or pair', 'Bench errors'], rows, 'held back')}${beyond(all.length)}
<p class="soft">Kept out of feed, structured data, prices and proofs. Correct the design, or waive a rule with a reason under bench in the config.</p>`;
}

function slowest({ takes }: RunRecord): string {
  const rows = takes
    .filter((t) => t.end === 'made')
    .sort((a, b) => tookOf(b) - tookOf(a))
    .slice(0, SLOWEST)
    .map((t) => [
      escapeHtml(t.label),
      number(duration(tookOf(t))),
      number(String(t.passes)),
      number(String(t.colourways)),
    ]);
  if (rows.length === 0) return '';
  return table(['Take', number('Time'), number('Passes'), number('Colourways')], rows, 'slowest takes');
}

/** In the order of tracing; of more than the page can show, those that are furthest from their target. */
function noise({ takes }: RunRecord): string {
  const seen = takes.filter((t) => t.passes > 0);
  if (seen.length === 0) return '';
  const ratio = (t: TakeSpan) => t.reached / t.asked;
  const shown = seen.length > ROWS ? [...seen].sort((a, b) => ratio(b) - ratio(a)).slice(0, ROWS) : seen;
  const rows = shown.map((t) => [
    escapeHtml(t.label),
    number(percent(t.asked)),
    { class: `number${t.reached > t.asked ? ' late' : ''}`, html: percent(t.reached) },
    number(duration(t.foretold)),
    number(t.end === 'made' ? duration(tookOf(t)) : '–'),
    t.end === 'made' ? (t.reached > t.asked ? 'above what was asked' : '') : 'not finished',
  ]);
  return (
    table(
      ['Take', number('Asked'), number('Reached'), number('Foretold'), number('Took'), ''],
      rows,
      'noise asked and reached, time foretold and taken',
    ) +
    (seen.length > ROWS
      ? `<p class="soft">The ${ROWS} furthest from their target of ${seen.length} takes.</p>`
      : '')
  );
}

function command({ exit, command: given, rerun }: RunRecord): string {
  const again =
    exit === 0
      ? '<p class="soft">Running it again does nothing if nothing has changed.</p>'
      : `<p>To go on with what is not made:</p><pre>${escapeHtml(rerun)}</pre>`;
  return `<pre>${escapeHtml(given)}</pre>${again}`;
}

function machine({ machine: facts }: RunRecord): string {
  return table(
    [],
    facts.map((row) => row.map(escapeHtml)),
    'machine and versions',
  );
}

type Cell = string | { class: string; html: string };
const number = (html: string): Cell => ({ class: 'number', html });

/** Cells are HTML already. */
function table(heads: readonly Cell[], rows: readonly (readonly Cell[])[], label: string): string {
  const cell = (tag: 'th' | 'td', c: Cell, scope = '') =>
    typeof c === 'string'
      ? `<${tag}${scope}>${c}</${tag}>`
      : `<${tag}${scope} class="${c.class}">${c.html}</${tag}>`;
  const body = rows.map(
    ([first, ...others]) =>
      `<tr>${cell('th', first, ' scope="row"')}${others.map((c) => cell('td', c)).join('')}</tr>`,
  );
  const heading = heads.map((h) => cell(h === '' ? 'td' : 'th', h, h === '' ? '' : ' scope="col"'));
  const top = heads.length > 0 ? `<thead><tr>${heading.join('')}</tr></thead>` : '';
  return `<div class="table" role="region" tabindex="0" aria-label="${label}"><table>${top}<tbody>${body.join('')}</tbody></table></div>`;
}

function beyond(all: number): string {
  return all > ROWS ? `<p class="soft">And ${all - ROWS} more.</p>` : '';
}

function list(texts: readonly string[]): string {
  return texts.length === 0 ? '' : `<ul>${texts.map((t) => `<li>${escapeHtml(t)}</li>`).join('')}</ul>`;
}

function someOf(names: readonly string[], most = NAMED): string {
  return names.length > most
    ? `${names.slice(0, most).join(', ')} and ${counted(names.length - most, 'other')}`
    : names.join(', ');
}
