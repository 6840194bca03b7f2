import { encodePictures, PICTURE_VERSION } from '../picture/encode.ts';
import type { ImageOutput, Plan, ShotPlan, Sku, WatermarkPlan } from '../plan/plan.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { loadShown, type Shown, shownFrom, shownOf } from './clean-film.ts';
import { FILM, skusOfTake, type TakeWork } from './film.ts';
import { loadRecord } from './film-store.ts';
import { framing, refusal } from './framing.ts';
import type { Kind, Making, Planning } from './kind.ts';
import { encodeBundle } from './picture-bundle.ts';
import { type PictureWords, pictureWords } from './picture-words.ts';

/** The files of one picture. Colourways are shared by SKUs that look alike; their pictures only if words agree too. */
export interface PictureWork {
  take: TakeWork;
  shown: Shown;
  /** content key of the files */
  key: ContentKey;
  /** index into the take's colourways */
  colourway: number;
  skus: Sku[];
  /** what it shows, as written into the files */
  title: string;
  alt: string;
}

export const PICTURE: Kind<PictureWork> = {
  name: 'picture',
  order: 'after-its-take',
  code: ['picture/encode.ts', 'artefacts/framing.ts', 'artefacts/picture-bundle.ts'],
  shared: true,
  plan: (planning) => {
    const words = pictureWords(planning.plan);
    return planning.pieces(FILM).flatMap((take) => picturesOfTake(take, words, planning));
  },
  skus: ({ take }) => skusOfTake(take),
  take: ({ take }) => take.record,
  uses: ({ key }) => [`picture/${key}`],
  from: ({ take, shown, colourway }) => shownFrom(take, shown, colourway),
  make: encodePicture,
};

function picturesOfTake(
  take: TakeWork,
  words: (sku: Sku, view: ShotPlan['view']) => PictureWords,
  planning: Planning,
): PictureWork[] {
  const shown = shownOf(take, planning);
  return take.take.colourways.flatMap((c, colourway) => {
    const groups = new Map<string, PictureWork>();
    for (const { sku } of c.pictures) {
      const { title, alt } = words(sku, take.take.shot.view);
      const key = pictureKey(shown.films[colourway], { title, alt }, planning);
      const picture = groups.get(key) ?? { take, shown, key, colourway, skus: [], title, alt };
      groups.set(key, picture);
      picture.skus.push(sku);
    }
    return [...groups.values()];
  });
}

/** Everything that decides the bytes of a picture's files beside its film. */
function pictureKey(film: ContentKey, words: PictureWords, { plan, versions, logos }: Planning): ContentKey {
  const { images, watermark, credit }: Plan = plan;
  const mark = (w: WatermarkPlan | false | undefined) => w && { ...w, image: w.image && logos.get(w.image) };
  return artefactKey({
    layer: 'picture',
    engine: [versions.picture, PICTURE_VERSION],
    film,
    images: images.map((i) => ({ ...i, watermark: mark(i.watermark) })),
    watermark: mark(watermark),
    words,
    credit,
  });
}

async function encodePicture(
  { take, shown, key, colourway, title, alt }: PictureWork,
  making: Making,
): Promise<void> {
  const start = performance.now();
  const { store, plan, watermark, ownWatermarks, report } = making;
  const film = await loadShown(store, take, shown, shown.films[colourway], making.signal);
  // a film that is damaged is gone from the store now: the next round traces it again
  if (!film) return;
  const matte = shown.matte && (await loadShown(store, take, shown, shown.matte, making.signal));
  if (shown.matte && !matte) return;
  const { shot } = take.take;
  const subject = (await loadRecord(making.records, take.record))?.subject;
  const images = await encodePictures(film, imagesOf(plan.images, shot), {
    ...framing(subject, shot),
    onRefused: ({ frame }) => making.warnOnce(refusal(shot.name, frame?.name ?? '')),
    white: WHITE_LEVEL,
    matte: matte || undefined,
    watermark,
    // the index shows one picture of a turntable
    thumbnail: !shot.turn?.angle,
    ownWatermarks,
    metadata: { title, alt, credit: plan.credit },
  });
  const bundle = encodeBundle(images);
  await store.put('picture', key, bundle);
  report({
    event: 'encoded',
    take: take.take.id,
    files: images.length,
    bytes: bundle.length,
    seconds: (performance.now() - start) / 1000,
  });
}

/** The frames of a turntable turn on the page and in films: neither feed nor proofs nor crops are made of them. */
function imagesOf(images: readonly ImageOutput[], { turn }: ShotPlan): readonly ImageOutput[] {
  return turn ? images.filter(({ name, frame }) => name === undefined && !frame) : images;
}
