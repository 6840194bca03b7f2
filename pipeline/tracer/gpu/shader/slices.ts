/**
 * How an invocation gets through a pass: it takes a slice, a few samples of one pixel, whenever it is done with one, from a
 * counter that all share. So paths of any length leave no lane of the card idle until nothing is left to take. Which slices
 * it was that an invocation had decides nothing: each slice's sums are left in a place of their own.
 *
 * The program that has this says what a slice is: `takeSlice` and `leaveSlice`.
 */
export const slices = /* wgsl */ `
var<private> slicePixel: vec2u;
var<private> nextSample: u32;
var<private> lastSample: u32;

/* begins what the invocation is to do next; false where there is nothing left */
fn beginNext() -> bool {
  if (wavesLeft > 0u) {
    takeWaveLeft();
    enterAgain();
    return true;
  }
  if (branchWaits) {
    takeBranch();
    return true;
  }
  while (nextSample >= lastSample) {
    leaveSlice();
    if (!takeSlice()) { return false; }
    clearSums();
    open = 0.0;
    through = 0.0;
    startPixel(slicePixel.x, slicePixel.y, job.seed);
    pathRim = rimAt(slicePixel);
  }
  startAtLens(slicePixel, nextSample);
  nextSample++;
  return true;
}

fn traceSlices() {
  branchWaits = false;
  wavesLeft = 0u;
  enters = false;
  shadow = NO_SHADOW;
  tintWaits = false;
  nextSample = 0u;
  lastSample = 0u;
  var alive = false;
  loop {
    if (!alive && shadow == NO_SHADOW) {
      if (!beginNext()) { break; }
      alive = true;
    }
    if (!enters) { alive = advance(alive); }
    // the walk inside a stone is written once, for stones just met and for further wavelengths alike
    if (enters) {
      enters = false;
      alive = passThrough();
    }
  }
}
`;
