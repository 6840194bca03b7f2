/** A Redis server of a test's own, on loopback, that can be killed and started again. */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { probeQueue } from '../../pipeline/farm/queue-connection.ts';
import { type QueueUrl, readQueueUrl } from '../../pipeline/farm/queue-url.ts';
import type { ProblemError } from '../../pipeline/problem.ts';

export const PASSWORD = 'Sesame-77';

export const HAS_REDIS = (() => {
  try {
    execFileSync('redis-server', ['--version'], { stdio: 'ignore' });
    return true;
  } catch {
    console.warn(
      'Tests of the queue are skipped: there is no redis-server (Debian: apt-get install redis-server)',
    );
    return false;
  }
})();

export interface RedisOptions {
  /** whether what it held is there again after a restart */
  keeps?: boolean;
  password?: string;
}

export class RedisServer {
  readonly port: number;
  readonly #folder: string;
  #child: ChildProcess | undefined;

  private constructor(folder: string, port: number) {
    this.#folder = join(folder, `redis-${port}`);
    this.port = port;
    mkdirSync(this.#folder, { recursive: true });
  }

  static async start(folder: string, options: RedisOptions = {}): Promise<RedisServer> {
    for (let left = 3; ; left--) {
      const server = new RedisServer(folder, await freePort());
      try {
        await server.start(options);
        return server;
      } catch (error) {
        // somebody else took the port just then
        if (left === 0) throw error;
      }
    }
  }

  /** `user:password@` as given; the server's own password unless told otherwise. */
  url(password = PASSWORD): QueueUrl {
    return readQueueUrl(`redis://:${password}@127.0.0.1:${this.port}`);
  }

  async start({ keeps = false, password = PASSWORD }: RedisOptions = {}): Promise<void> {
    const flags = ['--port', `${this.port}`, '--bind', '127.0.0.1', '--dir', this.#folder, '--save', ''];
    const kept = keeps ? ['--appendonly', 'yes', '--appendfsync', 'always'] : ['--appendonly', 'no'];
    this.#child = spawn('redis-server', [...flags, ...kept, '--requirepass', password], { stdio: 'ignore' });
    const child = this.#child;
    process.once('exit', () => child.kill('SIGKILL'));
    const until = performance.now() + 30_000;
    for (;;) {
      const problem = await probeQueue(this.url(password)).catch((error: ProblemError) => error);
      if (child.exitCode !== null) throw new Error(`redis-server ended with ${child.exitCode}`);
      if (!problem) return;
      if (performance.now() > until) throw problem;
      await pause(30);
    }
  }

  /** As kill -9 ends it. */
  async kill(): Promise<void> {
    const child = this.#child;
    this.#child = undefined;
    if (!child) return;
    const gone = new Promise((done) => child.once('close', done));
    child.kill('SIGKILL');
    await gone;
  }
}

/**
 * Below those that systems give to whoever connects somewhere (from 32768 on Linux): else a client that looks for a server
 * while it is away could be given its very port, and the server not start again.
 */
async function freePort(): Promise<number> {
  for (;;) {
    const port = 15_000 + Math.floor(Math.random() * 17_000);
    if (await canListen(port)) return port;
  }
}

function canListen(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const server = createServer();
    server.once('error', () => resolve(false));
    server.listen(port, '127.0.0.1', () => server.close(() => resolve(true)));
  });
}
