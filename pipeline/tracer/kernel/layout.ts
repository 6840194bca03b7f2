/**
 * Where everything lies in the kernel's memory. JavaScript packs it (scene-memory.ts), WebAssembly reads it with constant
 * offsets. Plain constants, so that both compilers read this one file. All numbers are bytes unless said otherwise.
 *
 * 0            static data of the compiler (none is expected)
 * PARAMS       single values, u32 or f32
 * STACK …      scratch of one ray
 * THROUGHPUT   v128 RGB_ per colourway: colour part of the path's throughput
 * SUM          v128 RGB_ per colourway: the pixel being traced
 * WAVE …       tables that depend on no scene
 * IRRADIANCE   grid of the empty studio's irradiance on the ground
 * HEAP         scene data, in the order scene-memory.ts lays it, then film and query buffers
 */

export const MAX_COLOURWAYS = 256;

/* ---- single values ---- */
export const PARAMS = 1024;
/** u32 child word of the tree's root */
export const ROOT = 1024;
export const TRIANGLES = 1028;
export const COLOURWAYS = 1032;
export const LIGHTS = 1036;
/** blocks of four lights for intersection, then one record a light */
export const LIGHT_BLOCKS = 1040;
export const LIGHT_BLOCKS_AT = 1044;
export const LIGHTS_AT = 1048;
export const DOME_AT = 1052;
export const DOME_STEPS = 1056;
export const SURFACES_AT = 1060;
export const TRIANGLE_SURFACE_AT = 1064;
export const INDICES_AT = 1068;
export const NORMALS_AT = 1072;
export const STONES_AT = 1076;
export const GEMS_AT = 1080;
export const METAL_COLOURS_AT = 1084;
export const GEM_COLOURS_AT = 1088;
export const FILM_AT = 1092;
/** u32, one of the GROUND_… below */
export const GROUND_KIND = 1096;
export const LEVEL = 1100;
export const WIDTH = 1104;
export const HEIGHT = 1108;
export const LENS_RADIUS = 1112;
export const FOCUS_DISTANCE = 1116;
/** bounding sphere of everything but ground and lights: x y z r */
export const BOUND = 1120;
/** camera: eye, then right and up scaled to half the frame at distance one, then forward; vec4 each */
export const EYE = 1136;
export const RIGHT = 1152;
export const UP = 1168;
export const FORWARD = 1184;
/** vec4 */
export const GROUND_ALBEDO = 1200;
/** x and z of the irradiance grid's centre, then its stretch in mm */
export const GRID_CENTRE = 1216;
export const GRID_STRETCH = 1224;
/** one over the refractive index of a glossy ground's coat */
export const COAT = 1228;
/** u32 1 when films have a matte as their last plane: coverage, share of the ground that shows through, nothing */
export const MATTE = 1232;
/** a picture of the sky: texels (vec4), cumulative tables over rows and, in each row, over columns */
export const SKY_WIDTH = 1236;
export const SKY_HEIGHT = 1240;
export const SKY_AT = 1244;
export const SKY_ROWS_AT = 1248;
export const SKY_COLUMNS_AT = 1252;
/** f32, chance that a light sample goes to the sky; 0 when there is but a dome */
export const SKY_CHANCE = 1256;
/** f32, turns about the vertical */
export const SKY_TURN = 1260;
/** vec4 a cell: irradiance that each of SKY_CELLS_DOWN × SKY_CELLS_ACROSS parts of its upper half gives the ground, then their sum */
export const SKY_CELLS_AT = 1264;
export const SKY_CELLS_DOWN = 16;
export const SKY_CELLS_ACROSS = 64;
/** f32 x4, paper under the objects: radius in mm, 1/width of its fade (0 = endless), albedo beyond it as a share, free */
export const PAPER = 1268;
/** f32, 1/share of the half frame over which white ground loses its shading towards the edge; 0 = it keeps it */
export const RIM = 1284;

export const GROUND_NONE = 0;
export const GROUND_WHITE = 1;
export const GROUND_SWEEP = 2;
export const GROUND_GLOSS = 3;

/* ---- scratch of one ray ---- */
/** 8 bytes an entry: child word, entry distance */
export const STACK = 4096;
export const SCRATCH = 6144;
/**
 * What traversal needs of the ray: byte offsets of near planes x y z and of far planes x y z within their axis (u32), then
 * from RAY + 32 on, spread over four lanes: origin xyz, 1/direction xyz, the far side's widening, direction xyz
 */
export const RAY = 6272;

/* ---- colour state, 16 bytes a colourway ---- */
export const THROUGHPUT = 8192;
export const SUM = 12288;

/* ---- tables ---- */
/** WAVE_STEPS + 1 entries r g b λ[µm] over the uniform variate that picks a wavelength */
export const WAVE = 16384;
export const WAVE_STEPS = 255;
/** f32, FILTER_STEPS + 1 offsets in pixels over a uniform variate */
export const FILTER = 20480;
export const FILTER_STEPS = 1023;
/** vec4 r g b _, GRID × GRID */
export const IRRADIANCE = 24640;
export const GRID = 48;
export const HEAP = 61568;

/* ---- tree ---- */
/**
 * 8-wide node: min x, max x, min y, max y, min z, max z (eight lanes each), then eight child words; 32 bytes are free, so
 * that nodes begin on cache lines. An empty slot has min = +inf, max = −inf. Child word = byte offset, low nibble 0 for a
 * node, 1…14 for that many blocks of four triangles, 15 for a stone record.
 */
export const WIDE = 8;
export const NODE_BYTES = 256;
export const NODE_CHILDREN = 192;
export const STONE_LEAF = 15;
export const MAX_LEAF_BLOCKS = 14;
/** v0 xyz, edge1 xyz, edge2 xyz, triangle index; four lanes each */
export const BLOCK_BYTES = 160;
export const BLOCK_IDS = 144;

/* ---- records ---- */
/** world→local 3×4 rows, local→world 3×4 rows, planes at, plane blocks, gem, index */
export const STONE_BYTES = 112;
export const STONE_TO_WORLD = 48;
export const STONE_PLANES_AT = 96;
export const STONE_PLANE_BLOCKS = 100;
export const STONE_GEM = 104;
export const STONE_INDEX = 108;
/** n x, n y, n z, d; four lanes each */
export const PLANE_BLOCK_BYTES = 64;
/** αx, αy, metal (u32), mirror-like (u32), albedo table at (u32), axis xyz, then the relief, the coat and the pattern */
export const SURFACE_BYTES = 128;
/** marks round the ring (0 = smooth), 1/size across, steepest slopes along and across */
export const RELIEF = 32;
/** xyz of the band's middle, then the radius from which flanks go down */
export const RELIEF_CENTRE = 48;
export const RELIEF_RADIUS = 60;
/** xyz, the direction in which turns begin */
export const RELIEF_X = 64;
/** f32, share of a dent's slope that is its own tilt; −1 for marks that are lines or grain; or one of the forms below */
export const RELIEF_TILT = 76;
/** strokes to either side, and in circles */
export const CROSSED = 2;
export const CIRCLES = 3;
/** f32, one over the index of the coat over a body of colour; 0 on metal */
export const COAT_RATIO = 80;
/** f32, 1/(π (1 − Ē)) of such a surface, Ē being what its coat mirrors of even light */
export const BODY_SCALE = 84;
/** u32, the record that stands in for this one where the pattern's other layer comes to the surface */
export const OTHER_LAYER = 88;
/** f32, one of the forms below, then eight numbers of that form; 0 where all is alike */
export const PATTERN = 92;
export const PATTERN_NUMBERS = 96;
export const LAYERED = 1;
export const WOODEN = 2;
/** f32, ALBEDO_TURN rows over cos² φ of ALBEDO_MU over √cos θ: directional albedo of the single-scatter lobe, F = 1 or the coat's */
export const ALBEDO_MU = 64;
export const ALBEDO_TURN = 8;
/** F0 rgb_, b rgb_ of the F82 form; of a body of colour what it gives back of the light that enters, in its two tones */
export const METAL_COLOUR_BYTES = 32;
/** A, B, n at 589.3 nm, 1 when any colourway absorbs */
export const GEM_BYTES = 16;
/** n xyz, n·c, u/|u|² xyz, its product with c, v/|v|² xyz, its product with c; four lanes each */
export const LIGHT_BLOCK_BYTES = 192;
/** centre, |u|; û, |v|; v̂, probability; n, 1/falloff (0 = hard); radiance rgb, end of its slice of [0,1) */
export const LIGHT_BYTES = 80;

/* ---- features ---- */
/** f32 a pixel: shares of metal, ground, stone; normal xyz; mirrored light, ground, metal, stone; surface; height of what is mirrored */
export const FEATURES = 12;
/** camera rays a pixel for them, and where it shows more than one thing */
export const FEATURE_SAMPLES = 16;
export const MIXED_SAMPLES = 64;

/* ---- every second pixel ---- */
/** fields of a chequerboard by the sum of their coordinates, for first looks */
export const EVEN_PIXELS = 1;
export const ODD_PIXELS = 2;
