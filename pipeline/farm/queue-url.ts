import { ProblemError } from '../problem.ts';

/** Where the queue is. Its password goes to the connection and nowhere else. */
export interface QueueUrl {
  /** without user and password, for people */
  shown: string;
  connection: {
    host: string;
    port: number;
    db: number;
    username?: string;
    password?: string;
    tls?: object;
  };
}

/** `redis://[user:password@]host[:port][/database]`, or `rediss://` over TLS. @throws ProblemError (`bad-queue-url`) */
export function readQueueUrl(text: string): QueueUrl {
  const url = parse(text);
  if (!url) {
    throw new ProblemError([
      {
        code: 'bad-queue-url',
        severity: 'error',
        path: '--queue',
        expected: 'redis://host:port/database, or rediss:// over TLS',
        received: 'an address of another form (not repeated here: it may hold a password)',
        advice: 'Write user and password before the host, with characters such as @ / # percent-encoded.',
      },
    ]);
  }
  const host = url.hostname.replace(/^\[|\]$/g, '');
  const [port, db] = [Number(url.port || 6379), Number(url.pathname.slice(1) || 0)];
  return {
    shown: `${url.protocol}//${url.hostname}:${port}/${db}`,
    connection: {
      host,
      port,
      db,
      ...(url.username ? { username: decodeURIComponent(url.username) } : {}),
      ...(url.password ? { password: decodeURIComponent(url.password) } : {}),
      ...(url.protocol === 'rediss:' ? { tls: {} } : {}),
    },
  };
}

function parse(text: string): URL | undefined {
  try {
    const url = new URL(text);
    const sound =
      /^rediss?:$/.test(url.protocol) &&
      url.hostname &&
      /^\/?\d*$/.test(url.pathname) &&
      !url.search &&
      !url.hash;
    decodeURIComponent(url.username + url.password);
    return sound ? url : undefined;
  } catch {
    return undefined;
  }
}

/** An argument of a command line with what may be a password left out. */
export function withoutPassword(argument: string): string {
  return argument.replace(/(rediss?:\/\/)[^\s]*@/, '$1…@');
}
