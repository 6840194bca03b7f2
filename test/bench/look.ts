/** The loop of shaping a band: from a saved edit to its picture in the live view's page. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Page } from 'puppeteer';
import { lookFiles } from '../../pipeline/look/page-files.ts';
import { openLookServer } from '../../pipeline/look/server.ts';
import { LookSession } from '../../pipeline/look/session.ts';
import { openSource } from '../../pipeline/look/source.ts';
import { pageBrowser } from '../page/page-browser.ts';
import { type Measurement, median } from './measurement.ts';

const PATIENCE = 300_000;

/** 40 brilliants with shared claws on a wave between two lower lanes, in four colourways. */
const BAND = `catalogue: shaping
title: A band that is being shaped
workshop: The bench
template: tideline
overrides: { chord-tolerance: 0.01 mm, section: { dome: 0.3 mm } }
origins: { diamond: laboratory-grown }
grid:
  size: [ISO 54]
  metal:
    - { label: First, slug: A, value: { near-shore: white-18, tide: yellow-18, far-shore: white-18 } }
    - { label: Second, slug: B, value: { near-shore: yellow-18, tide: white-18, far-shore: yellow-18 } }
    - { label: Third, slug: C, value: platinum-950 }
    - { label: Fourth, slug: D, value: { near-shore: palladium-950, tide: yellow-22, far-shore: palladium-950 } }
shots: [three-quarter, flat-lay]
lights: soft-tent
frame: 480 px
quality: { noise: 7 %, passes: 400 }
`;

/** Edits that leave the solids as they are, by what they change. */
const LOOKS = {
  recolour: ['rose-18', 'rose-14', 'rose-9', 'green-18', 'yellow-9'].map((alloy) =>
    BAND.replace('tide: yellow-18', `tide: ${alloy}`),
  ),
  finish: ['satin', 'brushed', 'ice-matt', 'sandblasted', 'brushed-across'].map((finish) =>
    BAND.replace('section: {', `lanes: { tide: { finish: ${finish} } }, section: {`),
  ),
  light: ['dusk', 'side-window', 'edge-strips', 'pin-lights', 'dusk'].map((lights) =>
    BAND.replace('lights: soft-tent', `lights: ${lights}`),
  ),
};
const VIEWS = ['flat-lay', 'three-quarter', 'front', 'macro', 'profile'];

/** ms from an edit to its picture, of every second pixel and of all. */
interface Times {
  sketch: number;
  all: number;
}

interface Seen {
  stage: string;
  version: number;
  draft: boolean;
  error: number;
  at: number;
}

export const look: Measurement = {
  name: 'look',
  about:
    'live view of a band of 40 set stones at 480²: a saved edit, other colours, finish, light and view, turning (wall clock, medians)',
  async run({ quick, record, say }) {
    const rounds = quick ? 2 : 5;
    const folder = await mkdtemp(path.join(tmpdir(), 'look-bench-'));
    const file = path.join(folder, 'config.yaml');
    await writeFile(file, BAND);
    const session = await LookSession.open(await openSource(file), { readOnly: true });
    session.warm();
    const server = await openLookServer({ session, files: await lookFiles(), port: 0 });
    const browser = await pageBrowser({ draws: true });
    try {
      const page = await browser.newPage();
      await page.setViewport({ width: 1280, height: 1000 });
      await page.evaluateOnNewDocument(watch);
      await page.goto(server.url);
      await seen(page, 1, 'sketch', 1, false);
      const [band] = (await session.band(session.state.bands[0].sku)) ?? [];
      say(`${band?.facts.stoneCount} stones`);

      const edits = {
        first: [] as number[],
        all: [] as number[],
        whole: [] as number[],
        believed: [] as number[],
      };
      for (let i = 0; i < rounds; i++) {
        const edited = BAND.replace('dome: 0.3 mm', `dome: 0.3${i + 1} mm`);
        const { from, version } = await save(session, file, edited);
        const whole = await seen(page, version, 'sketch', 1, false);
        const first = await seen(page, version, 'sketch', 1);
        const all = await seen(page, version, 'first', 1);
        const believed = await seen(page, version, 'passes', 0.1, false);
        edits.first.push((first.at - from) / 1000);
        edits.all.push((all.at - from) / 1000);
        edits.whole.push((whole.at - from) / 1000);
        edits.believed.push((believed.at - from) / 1000);
      }
      record('look_first_picture_s', median(edits.first), 's');
      record('look_every_pixel_s', median(edits.all), 's');
      record('look_whole_picture_s', median(edits.whole), 's');
      record('look_believed_s', median(edits.believed), 's');

      // the band as it was, so that from here on nothing but its looks change
      const loop = { session, file, page };
      await pictured(loop, BAND);
      for (const [kind, texts] of Object.entries(LOOKS)) {
        const times: Times[] = [];
        for (const text of texts.slice(0, rounds)) times.push(await pictured(loop, text));
        recordTimes(record, kind, times);
        await pictured(loop, BAND);
      }

      const views: Times[] = [];
      for (const shot of VIEWS.slice(0, rounds)) {
        const from = Date.now();
        await page.select('select[name=shot]', shot);
        const sketch = await after(page, 'sketch', from);
        const all = await after(page, 'first', from);
        views.push({ sketch: sketch.at - from, all: all.at - from });
      }
      recordTimes(record, 'view', views);

      const turned = await turn(page, quick ? 10 : 30);
      record('look_turn_ms', median(turned), 'ms');
      record('look_turn_longest_ms', Math.max(...turned), 'ms');
    } finally {
      await browser.close();
      await server.close();
      await session.close();
      await rm(folder, { recursive: true });
    }
  },
};

/** Runs in the page: notes every picture and when it was drawn. */
function watch(): void {
  const noted: Seen[] = [];
  Object.assign(globalThis, { noted });
  document.addEventListener('picture', (event) => {
    noted.push({ ...(event as CustomEvent).detail, at: Date.now() });
  });
}

/** Saves an edit of looks alone, and waits for its pictures. */
async function pictured(
  { session, file, page }: { session: LookSession; file: string; page: Page },
  text: string,
): Promise<Times> {
  const { from, version } = await save(session, file, text);
  const sketch = await seen(page, version, 'sketch', 1, false);
  const all = await seen(page, version, 'first', 1, false);
  return { sketch: sketch.at - from, all: all.at - from };
}

function recordTimes(
  record: Parameters<Measurement['run']>[0]['record'],
  kind: string,
  times: Times[],
): void {
  record(`look_${kind}_s`, median(times.map(({ sketch }) => sketch)) / 1000, 's');
  record(`look_${kind}_every_pixel_s`, median(times.map(({ all }) => all)) / 1000, 's');
}

async function save(
  session: LookSession,
  file: string,
  text: string,
): Promise<{ from: number; version: number }> {
  const { version } = session.state;
  const from = Date.now();
  await writeFile(file, text);
  return { from, version: version + 1 };
}

/** The first picture of a version and stage with an error of at most so much (sketches have none yet). */
async function seen(
  page: Page,
  version: number,
  stage: string,
  most: number,
  draft?: boolean,
): Promise<Seen> {
  const found = await page.waitForFunction(
    (v, s, e, d) =>
      (globalThis as unknown as { noted: Seen[] }).noted.find(
        (p) =>
          p.version === v &&
          (p.stage === s || (s === 'passes' && p.stage === 'done')) &&
          (s !== 'passes' || p.error <= e) &&
          (d === undefined || p.draft === d),
      ),
    { timeout: PATIENCE, polling: 20 },
    version,
    stage,
    most,
    draft,
  );
  return (await found.jsonValue()) as Seen;
}

async function after(page: Page, stage: string, from: number): Promise<Seen> {
  const found = await page.waitForFunction(
    (s, f) => (globalThis as unknown as { noted: Seen[] }).noted.find((p) => p.stage === s && p.at > f),
    { timeout: PATIENCE, polling: 20 },
    stage,
    from,
  );
  return (await found.jsonValue()) as Seen;
}

/** ms from one coarse picture to the next while a hand drags the band. */
async function turn(page: Page, moves: number): Promise<number[]> {
  const box = await (await page.$('canvas'))?.boundingBox();
  if (!box) throw new Error('the page shows no picture');
  const from = Date.now();
  await page.mouse.move(box.x + 100, box.y + 200);
  await page.mouse.down();
  for (let i = 1; i <= moves; i++) {
    await page.mouse.move(box.x + 100 + 5 * i, box.y + 200);
    await new Promise((resolve) => setTimeout(resolve, 60));
  }
  await page.mouse.up();
  const drawn = await page.evaluate(
    (f) =>
      (globalThis as unknown as { noted: Seen[] }).noted
        .filter((p) => p.stage === 'coarse' && p.at > f)
        .map((p) => p.at),
    from,
  );
  return drawn.slice(1).map((at, i) => at - drawn[i]);
}
