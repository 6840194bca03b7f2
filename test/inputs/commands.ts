/** Command lines that cannot be meant. */
import { type BadInput, badCommand } from './bad-input.ts';

const C = '{f}/config.yaml';
/** Flags with a value, by command. */
const FLAGS: Record<string, string[]> = {
  make: [
    'out',
    'only',
    'jobs',
    'memory',
    'nice',
    'pause-above-load',
    'until',
    'events',
    'report',
    'summary',
    'notify',
    'shard',
    'queue',
  ],
  plan: ['out'],
  check: ['only'],
  verify: ['out'],
  merge: ['out', 'from'],
};
const TEXTS = ['', '  ', 'x'.repeat(5000), 'x'.repeat(60_000), 'a\nb', '\x1b[2J'];
const NUMBERS: Record<string, string[]> = {
  jobs: ['0', '-1', '1.5', '1e9', 'many', 'NaN', '0x10g'],
  memory: ['0', '1', '2', '-2 GB', '1 MB', 'lots', '9 XB'],
  nice: ['0', '20', '-5', '1.5', 'very'],
  'pause-above-load': ['0', '-1', 'x', 'NaN', '1e9'],
  until: ['25:00', '7', '07:60', 'soon', '-1:00', '12:00:00:00'],
  shard: ['0/2', '3/2', '1/0', 'a/b', '1', '1/1/1', '1/99999999'],
  only: ['nothing-such', '*'.repeat(40), '+(+(+(a)))', '['.repeat(300), '{a,b'.repeat(99), '!(*)'.repeat(50)],
  notify: ['nowhere', 'ftp://example.com', 'file:///etc/passwd', 'https://', 'javascript:1'],
  queue: ['nowhere', 'http://example.com', 'redis://', 'redis://:@:99999', 'file:///x'],
  events: ['{f}/none/x', '{f}/folder', '{f}/pipe', '/proc/none/x', '{f}/circle'],
  out: [
    '/dev/null',
    '/dev/full',
    '/dev/zero/x',
    '/proc/x',
    '/proc/x/y',
    '/sys/x',
    '{f}/pipe',
    '{f}/file',
    '{f}/file/under',
    '{f}/circle',
    `{f}/${'n'.repeat(300)}`,
  ],
};

export function badCommands(): BadInput[] {
  const flags = Object.entries(FLAGS).flatMap(([command, names]) =>
    names.flatMap((name) => TEXTS.map((text) => badCommand('flags', command, C, `--${name}`, text))),
  );
  const numbers = Object.entries(NUMBERS).flatMap(([name, texts]) =>
    texts.map((text) => badCommand(name === 'out' ? 'places' : 'flags', 'make', C, `--${name}`, text)),
  );
  const places = NUMBERS.out.flatMap((out) => [
    badCommand('places', 'verify', C, '--out', out),
    badCommand('places', 'gc', '--keep', '1 GB', '--out', out),
  ]);
  return [
    ...flags,
    ...numbers,
    ...places,
    ...['', 'mak', '--nothing', '../make', 'x'.repeat(60_000)].map((c) => badCommand('commands', c)),
    ...['make', 'plan', 'check', 'verify', 'merge'].map((c) => badCommand('commands', c)),
    ...['make', 'plan', 'check', 'verify'].map((c) => badCommand('commands', c, C, C)),
    ...['make', 'plan', 'check', 'verify'].map((c) =>
      badCommand('commands', c, C, `--${'y'.repeat(50_000)}`),
    ),
    ...['', ' ', 'x'.repeat(5000), 'a\0b', '/', '.', '/dev/null'].map((file) =>
      badCommand('commands', 'make', file),
    ),
    ...['', 'lots', '-1 GB', '1', '1 XB', '9'.repeat(5000)].map((k) =>
      badCommand('flags', 'gc', '--keep', k),
    ),
    badCommand('commands', 'gc'),
    badCommand('commands', 'worker'),
    badCommand('commands', 'worker', '--queue', 'redis://127.0.0.1:1'),
    badCommand('commands', 'make', C, '--shard', '1/2', '--queue', 'redis://127.0.0.1:1'),
    badCommand('commands', 'size', ''),
    badCommand('commands', 'size', 'x'.repeat(60_000)),
  ];
}
