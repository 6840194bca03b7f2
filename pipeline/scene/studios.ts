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
      // key: a large softbox high on the left, its edge fading so that curved metal shows a gradient
      { azimuth: -32, elevation: 56, distance: 150, width: 150, height: 120, radiance: 4, falloff: 0.7 },
      { azimuth: -84, elevation: 22, distance: 140, width: 80, height: 110, radiance: 2.6, falloff: 0.5 },
      // a narrow strip on the right draws the bright edge line
      { azimuth: 64, elevation: 28, distance: 150, width: 34, height: 130, radiance: 3.4, falloff: 0.3 },
      { azimuth: 170, elevation: 42, distance: 170, width: 150, height: 50, radiance: 3, falloff: 0.5 },
      { azimuth: -40, elevation: 10, distance: 105, width: 20, height: 70, radiance: 0 },
      { azimuth: 34, elevation: 14, distance: 105, width: 36, height: 80, radiance: 0 },
      { azimuth: 112, elevation: 20, distance: 110, width: 46, height: 100, radiance: 0 },
      { azimuth: -130, elevation: 18, distance: 110, width: 36, height: 90, radiance: 0 },
    ],
    dome: [0.1, 0.1, 0.1, 0.1, 0.16, 0.26, 0.36, 0.44, 0.46],
    groundRadiance: 0.9,
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
    groundRadiance: 0.85,
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
    groundRadiance: 0.8,
  },
};
