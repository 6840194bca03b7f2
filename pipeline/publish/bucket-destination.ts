import { ProblemError } from '../problem.ts';
import type { Destination } from './hand-over.ts';

export interface BucketAddress {
  bucket: string;
  /** before every path, without slashes at its ends; empty for none */
  prefix: string;
}

/** `s3://bucket/prefix`. @returns undefined if it is no such address */
export function bucketAddress(text: string): BucketAddress | undefined {
  // names of buckets: 3 to 63 small letters, digits, dots and hyphens (Amazon S3 User Guide, bucket naming rules)
  const found = /^s3:\/\/([a-z0-9][a-z0-9.-]{1,61}[a-z0-9])(?:\/([^?#\p{Cc}]*))?$/u.exec(text);
  return found ? { bucket: found[1], prefix: (found[2] ?? '').replace(/^\/+|\/+$/g, '') } : undefined;
}

/**
 * A bucket of any service that speaks S3. Keys come from where the client looks for them (environment, profile, machine); none
 * are taken from the command line or the address.
 * @param endpoint of a service other than Amazon's
 * @throws ProblemError if the client is not installed
 */
export async function bucketDestination(
  { bucket, prefix }: BucketAddress,
  { endpoint, region }: { endpoint?: string; region?: string },
): Promise<Destination> {
  const s3 = await import('@aws-sdk/client-s3').catch(() => {
    throw new ProblemError([
      {
        code: 'bucket-client-missing',
        severity: 'error',
        path: `s3://${bucket}`,
        expected: 'the package @aws-sdk/client-s3, which comes along unless optional packages are left out',
        received: 'none',
        advice: 'Run "npm install @aws-sdk/client-s3", or hand over to a folder.',
      },
    ]);
  });
  const client = new s3.S3Client({
    ...(endpoint ? { endpoint, forcePathStyle: true } : {}),
    region: region ?? process.env.AWS_REGION ?? 'us-east-1',
    // services other than Amazon's know no checksums of its newer kind
    requestChecksumCalculation: 'WHEN_REQUIRED',
    responseChecksumValidation: 'WHEN_REQUIRED',
  });
  const key = (path: string) => ({ Bucket: bucket, Key: prefix === '' ? path : `${prefix}/${path}` });
  const absent = (error: unknown) => {
    const status = (error as { $metadata?: { httpStatusCode?: number } }).$metadata?.httpStatusCode;
    if (status === 404) return undefined;
    throw error;
  };
  return {
    name: `s3://${bucket}${prefix === '' ? '' : `/${prefix}`}`,
    async read(path) {
      const found = await client.send(new s3.GetObjectCommand(key(path))).catch(absent);
      return found?.Body?.transformToByteArray();
    },
    async has(path, bytes) {
      const found = await client.send(new s3.HeadObjectCommand(key(path))).catch(absent);
      return found?.ContentLength === bytes;
    },
    async write(path, data, type) {
      await client.send(new s3.PutObjectCommand({ ...key(path), Body: data, ContentType: type }));
    },
    async remove(path) {
      await client.send(new s3.DeleteObjectCommand(key(path)));
    },
    async close() {
      client.destroy();
    },
  };
}
