/** bytes of a piece on its way back */
const PIECE = 64 << 20;

/** Brings as many bytes as `to` holds from a buffer of the card, from its beginning, in pieces that it is sure to have room for. */
export async function copyOut(device: GPUDevice, from: GPUBuffer, to: Uint8Array): Promise<void> {
  const size = Math.min(PIECE, to.byteLength);
  const stage = device.createBuffer({ size, usage: GPUBufferUsage.MAP_READ | GPUBufferUsage.COPY_DST });
  for (let at = 0; at < to.byteLength; at += size) {
    const length = Math.min(size, to.byteLength - at);
    const commands = device.createCommandEncoder();
    commands.copyBufferToBuffer(from, at, stage, 0, length);
    device.queue.submit([commands.finish()]);
    await stage.mapAsync(GPUMapMode.READ, 0, length);
    to.set(new Uint8Array(stage.getMappedRange(0, length)), at);
    stage.unmap();
  }
  stage.destroy();
}
