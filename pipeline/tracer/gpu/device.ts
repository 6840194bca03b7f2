/** Finding a graphics card and asking it for what the engine needs. Runs wherever there is a `GPU`: page, worker, Node. */

/** What is known of an adapter; the text of `description` differs between hosts. */
export interface AdapterFacts {
  vendor: string;
  architecture: string;
  device: string;
  description: string;
  /** where the host tells it apart from the description */
  driver: string;
  /** it is a processor that plays a graphics card: true, and slow */
  software: boolean;
}

export interface Gpu {
  device: GPUDevice;
  facts: AdapterFacts;
  /** most bytes of one binding */
  binding: number;
}

/** What WebGPU tells of an adapter; the driver is not of the standard, Chromium tells it to developers. */
type AdapterInfo = Pick<
  GPUAdapterInfo,
  'vendor' | 'architecture' | 'device' | 'description' | 'isFallbackAdapter'
> & { driver?: string };

/** Bindings above this are not asked for: a take's batches fit in it, and few drivers are tried with more. */
const MOST_BINDING = 2 ** 31 - 4;
const SOFTWARE = /swiftshader|llvmpipe|lavapipe|softpipe|software|basic render/i;

export function factsOf(info: AdapterInfo): AdapterFacts {
  const { vendor, architecture, device, description } = info;
  const { driver = '' } = info;
  const software = info.isFallbackAdapter || SOFTWARE.test(`${architecture} ${device} ${description}`);
  return { vendor, architecture, device, description, driver, software };
}

/** One line that tells this adapter and driver from any other. */
export const adapterName = ({ vendor, architecture, device, description, driver }: AdapterFacts): string =>
  [vendor, architecture, device, description, driver].filter((part) => part !== '').join(' ');

/** undefined where the host has no adapter to give, or it refuses a device. */
export async function openGpu(host: GPU | undefined): Promise<Gpu | undefined> {
  const adapter = await host?.requestAdapter({ powerPreference: 'high-performance' });
  if (!adapter) return undefined;
  const { maxStorageBufferBindingSize, maxBufferSize } = adapter.limits;
  const binding = Math.min(maxStorageBufferBindingSize, maxBufferSize, MOST_BINDING);
  const device = await adapter
    .requestDevice({
      requiredLimits: { maxStorageBufferBindingSize: binding, maxBufferSize: binding },
    })
    .catch(() => undefined);
  return device && { device, facts: factsOf(adapter.info), binding };
}

/** Memory for programs, which the host may fill and fetch. */
export const storageBuffer = (device: GPUDevice, size: number): GPUBuffer =>
  device.createBuffer({
    size: Math.ceil(size / 4) * 4,
    usage: GPUBufferUsage.STORAGE | GPUBufferUsage.COPY_DST | GPUBufferUsage.COPY_SRC,
  });

/** Why the engine gave up a take: the take can be traced by another. */
export class GpuRefusal extends Error {
  readonly reason: 'lost' | 'out-of-memory' | 'too-large' | 'refused';

  constructor(reason: GpuRefusal['reason'], message: string) {
    super(message);
    this.name = 'GpuRefusal';
    this.reason = reason;
  }
}
