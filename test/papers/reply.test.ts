/** Replies to proofs: sealed, carried through mail, read from a folder, and set against the proofs of today. */
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { type CurrentProof, orderStandings, type ReplyFile } from '../../pipeline/papers/order-standing.ts';
import { fromMailText, isWhole, type Reply, sealed, toMailText } from '../../pipeline/papers/reply.ts';
import { readReplies } from '../../pipeline/publish/reply-folder.ts';
import { canonicalJson } from '../../pipeline/store/canonical-json.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-replies-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const PROOF = 'order-0123456789abcdef';
const [OLD, NOW] = ['a'.repeat(64), 'b'.repeat(64)];
const reply = (more: Partial<Reply> = {}): Reply => ({
  format: 'bandwright-reply',
  version: 1,
  proof: PROOF,
  digest: NOW,
  order: '2027-014',
  decision: 'approved',
  ticked: ['Ein Etui aus grauem Filz'],
  names: ['Ilka Sandvoort', 'Jonte Deichgräber'],
  date: '2027-02-01',
  made: '2027-02-01T10:00:00.000Z',
  nature: 'Keine qualifizierte elektronische Signatur',
  ...more,
});

describe('a reply', () => {
  it('is sealed by the SHA-256 of its content, as Node computes it', () => {
    const { integrity, ...content } = sealed(reply());
    expect(integrity).toBe(createHash('sha256').update(canonicalJson(content)).digest('hex'));
    expect(isWhole({ ...content, integrity })).toBe(true);
    expect(isWhole({ ...content, integrity, date: '2027-02-02' })).toBe(false);
  });

  it('comes whole through mail that quotes and breaks its lines', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', maxLength: 120 }), (changes) => {
        const sent = sealed(reply({ changes }));
        const quoted = `Hello\n> ${toMailText(sent).replaceAll('\n', '\r\n> ')}\nBye`;
        expect(JSON.parse(fromMailText(quoted) ?? '')).toEqual(JSON.parse(JSON.stringify(sent)));
      }),
      { numRuns: 40 },
    );
    expect(fromMailText('no reply [in here]')).toBeUndefined();
  });
});

/** An e-mail by RFC 5322 and 2045, its body in quoted-printable as mail programs write it. */
const mail = (body: string) =>
  `From: couple@saltmarsh.example\r\nSubject: =?utf-8?Q?Gr=C3=BC=C3=9Fe?=\r\nMIME-Version: 1.0\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\nGr=C3=BC=C3=9Fe\r\n${body}\r\n`;
const attached = (json: string) =>
  `MIME-Version: 1.0\r\nContent-Type: multipart/mixed; boundary="b"\r\n\r\n--b\r\nContent-Type: text/plain\r\n\r\nHere it is.\r\n--b\r\nContent-Type: application/json; name="reply.json"\r\nContent-Disposition: attachment; filename="reply.json"\r\nContent-Transfer-Encoding: base64\r\n\r\n${Buffer.from(json).toString('base64')}\r\n--b--\r\n`;

it('reads saved files, texts and e-mails, and says of each other file what is wrong with it', async () => {
  const whole = sealed(reply());
  const json = JSON.stringify(whole, undefined, 2);
  const files: Record<string, string> = {
    '01-saved.json': json,
    '02-text.txt': `Hello\n${toMailText(whole)}`,
    '03-mail.eml': mail(toMailText(whole).replaceAll('\n', '\r\n')),
    '04-attached.eml': attached(json),
    '05-altered.json': json.replace('"approved"', '"changes"'),
    '06-cut.json': json.slice(0, 200),
    '07-fields.json': JSON.stringify({ ...whole, names: [] }),
    '08-later.json': JSON.stringify({ ...whole, version: 2 }),
    '09-else.json': '{}',
    '10-scan.pdf': '%PDF-1.7',
    '11-greeting.eml': mail('No reply in here.'),
    '12-cut.txt': '[bandwright-reply\n__8\n]',
  };
  const place = join(folder, 'read');
  mkdirSync(place);
  for (const [name, text] of Object.entries(files)) writeFileSync(join(place, name), text);
  symlinkSync('/dev/zero', join(place, '13-link.json'));
  writeFileSync(join(place, '.hidden'), 'x');
  const read = await readReplies(place);
  expect(read.slice(0, 4).map((f) => 'reply' in f && f.reply)).toEqual([whole, whole, whole, whole]);
  expect(read.slice(4).map((f) => `${f.file}: ${'fault' in f ? f.fault : 'read'}`)).toEqual([
    expect.stringContaining('changed after it was signed'),
    expect.stringContaining('broke on its way'),
    expect.stringContaining('fields missing or changed'),
    expect.stringContaining('this version reads'),
    expect.stringContaining('no reply in it'),
    expect.stringContaining('on paper by hand'),
    expect.stringContaining('no reply in it'),
    expect.stringContaining('broke on its way'),
    expect.stringContaining('a link'),
  ]);
});

describe('an order', () => {
  const proof = (more: Partial<CurrentProof> = {}): CurrentProof => ({
    order: '2027-014',
    proof: PROOF,
    digest: NOW,
    expires: '2027-02-28',
    ...more,
  });
  const file = (name: string, more: Partial<Reply> = {}): ReplyFile => ({
    file: name,
    reply: sealed(reply(more)),
  });
  const stateOf = (files: ReplyFile[], today = '2027-02-10', more: Partial<CurrentProof> = {}) =>
    orderStandings([proof(more)], files, today).orders[0].state;

  it('stands by the reply to its proof of today', () => {
    expect(stateOf([])).toBe('open');
    expect(stateOf([], '2027-02-28')).toBe('open');
    expect(stateOf([], '2027-03-01')).toBe('expired');
    expect(stateOf([file('a')])).toBe('approved');
    // what was approved in time stays so
    expect(stateOf([file('a')], '2027-06-01')).toBe('approved');
    expect(stateOf([file('a', { date: '2027-03-01' })], '2027-03-02')).toBe('expired');
    expect(stateOf([file('a', { decision: 'changes', changes: 'wider' })])).toBe('changes');
    expect(stateOf([file('a', { digest: OLD })])).toBe('changed');
    expect(stateOf([file('a')], '2027-02-10', { digest: undefined, missing: 'make it' })).toBe('unmade');
  });

  it('is decided by the newest reply, and by one to the proof of today before any other', () => {
    const [early, late] = ['2027-02-01T10:00:00.000Z', '2027-02-03T10:00:00.000Z'];
    const wish = { decision: 'changes' as const, changes: 'wider' };
    expect(stateOf([file('a', { made: early, ...wish }), file('b', { made: late })])).toBe('approved');
    expect(stateOf([file('a', { made: late, ...wish }), file('b', { made: early })])).toBe('changes');
    expect(stateOf([file('a', { made: early }), file('b', { made: late, digest: OLD, ...wish })])).toBe(
      'approved',
    );
  });

  it('tells once of every file that counts for none', () => {
    const files: ReplyFile[] = [
      file('1'),
      file('2'),
      file('3', { proof: 'order-ffffffffffffffff' }),
      file('4', { made: '2027-01-01T00:00:00.000Z' }),
      { file: '5', fault: 'broken' },
    ];
    const { notes, orders } = orderStandings([proof()], files, '2027-02-10');
    expect(notes.map(({ file, problem }) => [file, problem]).sort()).toEqual([
      ['2', 'doubled'],
      ['3', 'foreign'],
      ['4', 'overtaken'],
      ['5', 'unreadable'],
    ]);
    expect(orders).toMatchObject([{ state: 'approved', reply: '1', signed: '2027-02-01', names: 2 }]);
    expect(JSON.stringify(orders)).not.toContain('Ilka');
  });
});
