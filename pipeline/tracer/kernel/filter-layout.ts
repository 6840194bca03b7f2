/**
 * Where a band of a film lies in the filter's memory. JavaScript packs it (window-fits.ts), WebAssembly reads it. Plain
 * constants, so that both compilers read this one file. All are byte offsets; places named …_AT hold one of their own.
 *
 * A film is parted into blocks as wide and high as the windows' half width, counted from the first row held, which is a
 * whole number of blocks below the film's upper edge. Windows stand with their middles on corners of blocks, so each is four.
 */

/* ---- the order, u32 each ---- */
export const F_WIDTH = 1024;
/** rows of pixels held; those of them that are wanted, from and up to */
export const F_ROWS = 1028;
export const F_FROM = 1032;
export const F_TO = 1036;
/** half width of windows, in pixels, and pixels on a cell's side: blocks are gathered cell by cell */
export const F_RADIUS = 1040;
export const F_SIDE = 1044;
/** values a pixel, a multiple of four */
export const F_CHANNELS = 1048;
/** of pixels held: features and values, f32 each, bits F_OPEN … a byte each */
export const F_FEATURES_AT = 1052;
export const F_VALUES_AT = 1056;
export const F_FLAGS_AT = 1060;
/** of pixels wanted: f32 share that is wanted, sums of fits */
export const F_WANTED_AT = 1064;
export const F_OUT_AT = 1068;
/** f32: weight of a window in the first, second … pixel from its middle; `radius` of them */
export const F_FALL_AT = 1072;

/* ---- scratch, as long as window-fits.ts makes it ---- */
/** bits of the pixels in each block, a byte */
export const F_BLOCK_BITS_AT = 1076;
/** two rows of blocks: whether their sums are there, a byte each, and the sums (F_SUMS_…) */
export const F_DONE_AT = 1080;
export const F_SUMS_AT = 1084;
/** two rows of windows: what they are, a byte each, and their fits, F_COLUMNS × channels f32 */
export const F_STATES_AT = 1088;
export const F_FITS_AT = 1092;
/** cells of a block: F_COLUMNS weighted, F_COLUMNS, then values, all f64 */
export const F_CELLS_AT = 1096;
/** sums of the window at hand, and of a block on its way into them */
export const F_WINDOW_AT = 1100;
export const F_MOVED_AT = 1104;
/** fits of the four windows over the block at hand, F_COLUMNS × channels / 4 × windows of four f32 */
export const F_QUARTERS_AT = 1108;

/* ---- tables ---- */
/** f64 a column: what it may differ by chance, squared */
export const F_NOISE = 1152;
/** f32 a column of the pixel at hand */
export const F_ROW = 1296;
/** f64: reciprocals of pivots */
export const F_PIVOTS = 1376;
export const F_HEAP = 1536;

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

/** half a window is so many cells wide at most */
export const F_MOST_CELLS = 8;

/**
 * Sums of a block or window: how many pixels (f64) in so many bytes, then F_COLUMNS rows of products with all columns and
 * values, f64.
 */
export const F_SUMS_HEAD = 16;
