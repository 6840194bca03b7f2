import { type Amount, phrase } from '../trade/bench-words.ts';
import { atLeast, type BenchRule, CAST_SOURCE, type RowRule } from './bench-rule.ts';
import { GROOVE_DEPTH } from './channel.ts';
import { wallBeside, withinSoftening } from './clearance.ts';
import { rowFrame } from './row-curve.ts';
import type { WholeRow } from './row-plan.ts';

const OPENING_SOURCE =
  'ganoksin.com/lesson/channel-setting-round-diamonds; professionaljeweler.com/archives/articles/2001/dec01/1201pb1.html';
const WALL_SOURCE = 'orchid.ganoksin.com/t/channel-set-size-limit/45641';

/** Most of a stone's width that may stay open: 90 % below 3 mm, 95 % otherwise. */
export function widestOpening(widthMm: number): number {
  return widthMm < 3 ? 0.9 : 0.95;
}

/** Narrowest opening that a setter asks for: 10 % of the width under either wall. */
const NARROWEST_OPENING = 0.8;

const percent = (share: number): Amount => ({ share, digits: 1 });

const channelOpening: RowRule = {
  rule: 'channel-opening',
  severity: 'warning',
  source: `90–95 % of the stone, 90 % below 3 mm: ${OPENING_SOURCE}; down to 10 % a side: ${WALL_SOURCE}`,
  measureRow: ({ channel, design }) => {
    if (!channel) return [];
    const share = (2 * channel.half) / design.diameterMm;
    const most = widestOpening(design.diameterMm);
    return [
      {
        passed: share <= most + 1e-9 && share >= NARROWEST_OPENING - 1e-9,
        limit: phrase('share-of-width', { from: percent(NARROWEST_OPENING), to: percent(most) }),
        measured: percent(share),
        place: phrase('channel-of', { row: { name: design.name } }),
      },
    ];
  },
};

const channelOverlap: RowRule = {
  rule: 'channel-overlap',
  severity: 'warning',
  source: 'common practice: a wall that reaches less than 0.05 mm over a girdle wears off it',
  measureRow: ({ channel, design }) =>
    channel
      ? [
          atLeast(
            0.05,
            design.diameterMm / 2 - channel.half,
            phrase('walls-over', { row: { name: design.name } }),
          ),
        ]
      : [],
};

const channelLip: RowRule = {
  rule: 'channel-lip',
  severity: 'warning',
  source: 'common practice: 0.15 mm of wall over the girdle for wear and polish',
  measureRow: ({ channel, design }) =>
    channel ? [atLeast(0.15, channel.lip, phrase('wall-over', { row: { name: design.name } }))] : [],
};

/** Walls at the surface, up to where edges are softened, beside the stones and midway between them. */
function leastWall({ lane, design, channel, members }: WholeRow): number {
  const rims = withinSoftening(lane);
  const angles = members.map(({ place }) => place.theta);
  const between = angles.slice(1).map((theta, i) => (theta + angles[i]) / 2);
  return Math.min(
    ...[...angles, ...between].map((theta) =>
      wallBeside(rims, rowFrame(lane, design.setDepthMm, theta), design.setDepthMm, channel!.half),
    ),
  );
}

const channelWall: RowRule = {
  rule: 'channel-wall',
  severity: 'error',
  source: `smallest reported 0.35 mm: ${WALL_SOURCE}; 0.5 mm from 1.5 mm stones: common practice`,
  measureRow: (row) =>
    row.channel
      ? [
          atLeast(
            row.design.diameterMm < 1.5 ? 0.35 : 0.5,
            leastWall(row),
            phrase('either-wall', { row: { name: row.design.name } }),
          ),
        ]
      : [],
};

const channelFloor: RowRule = {
  rule: 'channel-floor',
  severity: 'error',
  source: CAST_SOURCE,
  measureRow: ({ channel, design }) =>
    channel
      ? [
          atLeast(
            0.4,
            channel.underFloor,
            phrase('under-channel', { row: { name: design.name }, share: percent(GROOVE_DEPTH) }),
          ),
        ]
      : [],
};

/** Stones below this are rarely channelled, mm. */
const channelStone: RowRule = {
  rule: 'channel-stone',
  severity: 'info',
  source: `stones below 1.3 mm are rarely set in channels: ${WALL_SOURCE}`,
  measureRow: ({ channel, design }) =>
    channel ? [atLeast(1.3, design.diameterMm, phrase('stones-of', { row: { name: design.name } }))] : [],
};

export const CHANNEL_RULES: readonly BenchRule[] = [
  channelOpening,
  channelOverlap,
  channelLip,
  channelWall,
  channelFloor,
  channelStone,
];
