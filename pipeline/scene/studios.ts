import type { Studio } from './studio.ts';

/**
 * Studio set-ups, named by what a photographer builds. Distances suit a ring of about 20 mm. Black cards give
 * polished metal its dark edge lines: without them a ring in a white tent looks like white plastic.
 * Common practice of product photography throughout.
 */
export const STUDIOS: Record<string, Studio> = {
  'soft-tent': {
    label: 'Soft tent with dark cards',
    panels: [
      { azimuth: -20, elevation: 68, distance: 150, width: 150, height: 130, radiance: 3.2, falloff: 0.5 },
      { azimuth: -78, elevation: 24, distance: 140, width: 90, height: 110, radiance: 2.4, falloff: 0.4 },
      { azimuth: 72, elevation: 30, distance: 150, width: 60, height: 120, radiance: 1.8, falloff: 0.4 },
      { azimuth: 176, elevation: 38, distance: 170, width: 150, height: 60, radiance: 2.6, falloff: 0.5 },
      { azimuth: -34, elevation: 14, distance: 105, width: 22, height: 80, radiance: 0 },
      { azimuth: 38, elevation: 12, distance: 105, width: 30, height: 80, radiance: 0 },
      { azimuth: 125, elevation: 18, distance: 110, width: 34, height: 90, radiance: 0 },
      { azimuth: -132, elevation: 18, distance: 110, width: 30, height: 90, radiance: 0 },
    ],
    dome: [0.1, 0.1, 0.1, 0.1, 0.28, 0.5, 0.7, 0.8, 0.8],
    groundRadiance: 0.86,
  },
  'side-window': {
    label: 'One large window from the left',
    panels: [
      { azimuth: -62, elevation: 32, distance: 170, width: 150, height: 170, radiance: 4, falloff: 0.15 },
      { azimuth: 70, elevation: 20, distance: 120, width: 110, height: 110, radiance: 0.5, falloff: 0.3 },
      { azimuth: 10, elevation: 25, distance: 120, width: 40, height: 110, radiance: 0 },
      { azimuth: 150, elevation: 35, distance: 170, width: 60, height: 90, radiance: 1.2, falloff: 0.4 },
    ],
    dome: [0.05, 0.05, 0.05, 0.05, 0.14, 0.24, 0.34, 0.4, 0.4],
    groundRadiance: 0.8,
  },
  'edge-strips': {
    label: 'Narrow strips for edge lines',
    panels: [
      { azimuth: -60, elevation: 30, distance: 140, width: 22, height: 170, radiance: 7, falloff: 0.2 },
      { azimuth: 60, elevation: 30, distance: 140, width: 22, height: 170, radiance: 7, falloff: 0.2 },
      { azimuth: 180, elevation: 55, distance: 150, width: 170, height: 24, radiance: 7, falloff: 0.2 },
      { azimuth: 0, elevation: 82, distance: 150, width: 90, height: 60, radiance: 2.4, falloff: 0.6 },
    ],
    dome: [0.05, 0.05, 0.05, 0.05, 0.16, 0.26, 0.3, 0.3, 0.3],
    groundRadiance: 0.78,
  },
};
