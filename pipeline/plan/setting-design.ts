/** How the stones of a row are held. Lengths are millimetres, angles radians. */

/** How a claw ends: a round bead, a talon drawn out to a point, a flat tab, or spread over the corners of both its stones. */
export const CLAW_TIPS = ['round', 'talon', 'tab', 'corner'] as const;
export type ClawTip = (typeof CLAW_TIPS)[number];

export type SettingDesign =
  | {
      style: 'shared-claws';
      /** where a claw leaves the metal */
      clawDiameterMm: number;
      /** height of the claw tip above the girdle plane, measured along the stone's axis */
      clawHeightMm: number;
      /** how far each claw leans in over its stones, from the middle between their axes; none if absent */
      leanRad?: number;
      /** round if absent */
      tip?: ClawTip;
    }
  | {
      /** stones between two walls, their girdles tucked under both */
      style: 'channel';
      /** width of the groove between the walls, as a share of the stone's width */
      openingShare: number;
    }
  | {
      /** round stones sunk until their tables lie level with the metal, whatever set depth the row gives */
      style: 'flush';
      /** how far the burnished metal reaches over the girdle's edge */
      lipMm: number;
    }
  | {
      /** stones in a field cut into the lane, each under rounded grains raised from the metal */
      style: 'grain';
      grainMm: number;
      /** four grains for each stone, or two in every gap that neighbours share */
      grains: 'own' | 'shared';
      /** floor of the field beside the girdles */
      fieldMm: number;
      /** depth of the field's floor below the lane's surface */
      fieldDepthMm: number;
      /** the field's walls are cut bright at 45°, not left steep */
      brightCut: boolean;
    }
  | {
      /** round stones in a collar of metal that is pushed over their girdles */
      style: 'bezel';
      /** of the collar in the girdle's plane */
      wallMm: number;
      /** how far its metal reaches over the girdle's edge */
      lipMm: number;
      /** by which its sides draw in downwards, from the stone's axis */
      taperRad: number;
      /** two sides without wall, so that one looks through along the row or across it; closed all round if absent */
      open?: 'along' | 'across';
      /** of the half circle that those sides take up */
      openShare: number;
    }
  | {
      /** round stones raised on a cup of metal with claws of their own */
      style: 'head';
      claws: 4 | 6;
      clawDiameterMm: number;
      /** height of the claw tip above the girdle plane, measured along the claw */
      clawHeightMm: number;
      /** of the cup in the girdle's plane */
      wallMm: number;
      /** by which cup and claws draw in downwards, from the stone's axis */
      taperRad: number;
      /** round if absent */
      tip?: ClawTip;
    }
  | { style: 'none' };

/** The setting of that style. */
export type SettingOf<S extends SettingDesign['style']> = Extract<SettingDesign, { style: S }>;
