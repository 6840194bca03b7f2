/**
 * Replies to proofs as they came in: saved files (.json), the text of an e-mail (.txt), or e-mails themselves (.eml) with
 * the reply in their text or attached. They come from outside: nothing in them is believed before it is checked.
 */
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import PostalMime from 'postal-mime';
import * as z from 'zod';
import type { ReplyFile } from '../papers/order-standing.ts';
import { fromMailText, isWhole, MOST_TYPED, REPLY_FORMAT, REPLY_VERSION } from '../papers/reply.ts';
import { openOwn } from '../store/own-file.ts';

/** An e-mail may carry pictures beside the reply. */
const MOST_BYTES = 30 * 1024 * 1024;

const hash = z.string().regex(/^[0-9a-f]{64}$/);
const schema = z.strictObject({
  format: z.literal(REPLY_FORMAT),
  version: z.literal(REPLY_VERSION),
  proof: z.string().max(200),
  digest: hash,
  order: z.string().max(200),
  decision: z.enum(['approved', 'changes']),
  ticked: z.array(z.string().max(2000)).max(100),
  changes: z
    .string()
    .max(2 * MOST_TYPED.changes)
    .optional(),
  names: z
    .array(
      z
        .string()
        .min(1)
        .max(2 * MOST_TYPED.name),
    )
    .min(1)
    .max(2),
  date: z.iso.date(),
  made: z.iso.datetime(),
  nature: z.string().max(2000),
  integrity: hash,
});

/** @returns each file of the folder in order of names; hidden ones and folders are none. @throws as readdir(2) */
export async function readReplies(folder: string): Promise<ReplyFile[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((e) => !e.isDirectory() && !e.name.startsWith('.')).map((e) => e.name);
  const files: ReplyFile[] = [];
  for (const name of names.sort()) {
    // a name may hold anything: it is printed on a terminal
    const file = name.replace(/\p{Cc}/gu, '?');
    try {
      files.push({ file, ...(await readReply(join(folder, name))) });
    } catch (error) {
      if (!(error instanceof NoReply)) throw error;
      files.push({ file, fault: error.message });
    }
  }
  return files;
}

/** Why a file holds no reply that can be used; its text is told. */
class NoReply extends Error {}

async function readReply(path: string) {
  const json = await replyText(path);
  let read: unknown;
  try {
    read = JSON.parse(json);
  } catch {
    throw new NoReply('a reply that broke on its way; ask for the saved file once more');
  }
  const { data: reply } = schema.safeParse(read);
  if (!reply) {
    const newer = (read as { version?: unknown } | null)?.version !== REPLY_VERSION;
    throw new NoReply(
      newer
        ? 'no reply of a kind that this version reads'
        : 'a reply with fields missing or changed; ask for the saved file once more',
    );
  }
  if (!isWhole(reply))
    throw new NoReply('its content was changed after it was signed; ask for the saved file once more');
  return { reply };
}

const NONE = 'no reply in it; save the attached file or the whole e-mail here';

async function replyText(path: string): Promise<string> {
  if (!/\.(?:json|txt|eml)$/i.test(path))
    throw new NoReply(
      'not read: replies are .json, .txt or .eml files; enter what is signed on paper by hand',
    );
  const bytes = await bounded(path);
  if (/\.eml$/i.test(path)) return mailed(bytes);
  const text = new TextDecoder().decode(bytes);
  const packed = /\.txt$/i.test(path) ? unpacked(text) : undefined;
  if (packed !== undefined) return packed;
  if (!text.includes(REPLY_FORMAT)) throw new NoReply(NONE);
  return text;
}

async function bounded(path: string): Promise<Uint8Array> {
  const file = await openOwn(path).catch(() => undefined);
  if (!file) throw new NoReply('not read: a link, or nothing that may be opened');
  try {
    if ((await file.stat()).size > MOST_BYTES) throw new NoReply('not read: larger than 30 MB');
    return await file.readFile();
  } finally {
    await file.close();
  }
}

/** An attached file goes before what stands in the text. */
async function mailed(bytes: Uint8Array): Promise<string> {
  const mail = await PostalMime.parse(bytes).catch(() => undefined);
  if (!mail) throw new NoReply('no e-mail that can be read');
  for (const { filename, content } of mail.attachments) {
    if (!/\.json$/i.test(filename ?? '')) continue;
    const text = typeof content === 'string' ? content : new TextDecoder().decode(content);
    if (text.includes(REPLY_FORMAT)) return text;
  }
  const text = unpacked(mail.text ?? '') ?? unpacked((mail.html ?? '').replace(/<[^>]*>/g, ''));
  if (text === undefined) throw new NoReply(NONE);
  return text;
}

function unpacked(text: string): string | undefined {
  try {
    return fromMailText(text);
  } catch {
    throw new NoReply('a reply that broke on its way; ask for the saved file once more');
  }
}
