import { Matrix4, PerspectiveCamera, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { placeInPicture } from '../../pipeline/look/place-in-picture.ts';
import { turnedCamera } from '../../pipeline/tracer/turned-scene.ts';

const CAMERA = {
  eye: [30, 55, 110] as [number, number, number],
  target: [1, 11, -2] as [number, number, number],
  up: [0, 1, 0] as [number, number, number],
  fovY: 0.28,
  lensRadius: 0,
  focusDistance: 100,
};
const BAND = new Matrix4().makeTranslation(2, 11, -1).multiply(new Matrix4().makeRotationY(0.9));
const AT: [number, number, number] = [3, 10, 1.4];

describe('the place of a check in the picture', () => {
  // reference: three.js' perspective camera
  it.each([1, 1.5, 0.8])('is that of a perspective camera at %d to 1', (aspect) => {
    const camera = new PerspectiveCamera((CAMERA.fovY * 180) / Math.PI, aspect, 1, 1000);
    camera.position.set(...CAMERA.eye);
    camera.lookAt(...CAMERA.target);
    camera.updateMatrixWorld();
    const seen = new Vector3(...AT).applyMatrix4(BAND).project(camera);
    const place = placeInPicture(CAMERA, BAND.elements, AT, aspect);
    expect(place.x).toBeCloseTo((seen.x + 1) / 2, 6);
    expect(place.y).toBeCloseTo((1 - seen.y) / 2, 6);
  });

  it('goes with the band as it turns', () => {
    const middle: [number, number] = [2, -1];
    const angle = 0.7;
    const about = new Matrix4()
      .makeTranslation(2, 0, -1)
      .multiply(new Matrix4().makeRotationY(angle))
      .multiply(new Matrix4().makeTranslation(-2, 0, 1));
    const turned = placeInPicture(CAMERA, about.multiply(BAND).elements, AT, 1);
    const seen = placeInPicture(turnedCamera(CAMERA, { angle, rise: 0 }, middle), BAND.elements, AT, 1);
    expect(seen.x).toBeCloseTo(turned.x, 6);
    expect(seen.y).toBeCloseTo(turned.y, 6);
    expect(seen.behind).toBe(turned.behind);
  });

  it('is behind where the outside faces away', () => {
    const facing = new Matrix4();
    const before = { ...CAMERA, eye: [0, 60, 60] as [number, number, number] };
    expect(placeInPicture(before, facing.elements, [0, 10, 0], 1).behind).toBe(false);
    expect(placeInPicture(before, facing.elements, [0, -10, 0], 1).behind).toBe(true);
  });
});
