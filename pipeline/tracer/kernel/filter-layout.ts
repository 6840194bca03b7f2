/**
 * Where a row of windows lies in the filter's memory. JavaScript packs it (window-fits.ts), WebAssembly reads it. Plain
 * constants, so that both compilers read this one file. All are byte offsets; places named …_AT hold one of their own.
 */

/* ---- the order, u32 each ---- */
export const F_WIDTH = 1024;
/** first row of pixels held, and how many */
export const F_TOP = 1028;
export const F_ROWS = 1032;
export const F_RADIUS = 1036;
/** row of the windows' middles, and how many windows stand in it */
export const F_MIDDLE = 1040;
export const F_WINDOWS = 1044;
/** values a pixel, a multiple of four */
export const F_CHANNELS = 1048;
/** pixels on a cell's side; cells across, first row of cells held, and how many */
export const F_SIDE = 1052;
export const F_CELLS_WIDE = 1056;
export const F_CELLS_TOP = 1060;
export const F_CELLS_ROWS = 1064;
/** of pixels: features, F_OPEN … a byte each, f32 share wanted, values and sums of fits, f32 each */
export const F_FEATURES_AT = 1068;
export const F_FLAGS_AT = 1072;
export const F_WANTED_AT = 1076;
export const F_VALUES_AT = 1080;
export const F_OUT_AT = 1084;
/** of cells: f32 how many of their pixels count, features, values */
export const F_WEIGHT_AT = 1088;
export const F_CELL_FEATURES_AT = 1092;
export const F_CELL_VALUES_AT = 1096;
/** f64: weight of a window at a distance from its middle, F_RADIUS of them */
export const F_FALL_AT = 1100;
/** scratch: F_COLUMNS × F_CHANNELS f64, then as many f32 */
export const F_RIGHT_AT = 1104;
export const F_FIT_AT = 1108;

/* ---- tables and scratch ---- */
/** f64 a column: what it may differ by chance, squared */
export const F_NOISE = 1152;
export const F_ROW = 1344;
export const F_MATRIX = 1536;
export const F_HEAP = 4352;

/** pixel bits: counts, differs between halves, shows metal, shows ground, a fit is wanted */
export const F_OPEN = 1;
export const F_NOISY = 2;
export const F_METAL = 4;
export const F_GROUND = 8;
export const F_ASKED = 16;

/** columns of a fit: metal's, then ground's */
export const F_METAL_COLUMNS = 12;
export const F_GROUND_COLUMNS = 6;
export const F_COLUMNS = 18;
