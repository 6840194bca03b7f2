import { type FSWatcher, unwatchFile, watch, watchFile } from 'node:fs';
import path from 'node:path';

/** ms of quiet after which a change counts as saved: editors write in several steps. */
const QUIET = 10;
/** ms between looks at files whose folder can't be watched */
const POLL = 500;

/**
 * Tells when any of some files is saved. Folders are watched and not files, because many editors write another file and
 * give it the name of the old one, which a watched file doesn't notice.
 */
export class FileWatch {
  private readonly onSaved: () => void;
  private readonly onStir: () => void;
  private readonly folders = new Map<string, FSWatcher>();
  private readonly polled = new Set<string>();
  private wanted = new Set<string>();
  private timer: NodeJS.Timeout | undefined;

  /** @param onStir told at once, before it is known that a file is written to its end */
  constructor(onSaved: () => void, onStir: () => void = () => {}) {
    this.onSaved = onSaved;
    this.onStir = onStir;
  }

  /** Watches these files from now on, by their absolute paths. */
  follow(files: readonly string[]): void {
    this.wanted = new Set(files);
    const folders = new Set(files.map((file) => path.dirname(file)));
    for (const [folder, watcher] of this.folders)
      if (!folders.has(folder)) {
        watcher.close();
        this.folders.delete(folder);
      }
    for (const folder of folders) if (!this.folders.has(folder)) this.open(folder);
  }

  close(): void {
    clearTimeout(this.timer);
    for (const watcher of this.folders.values()) watcher.close();
    this.folders.clear();
    for (const file of this.polled) unwatchFile(file);
    this.polled.clear();
  }

  private open(folder: string): void {
    try {
      const watcher = watch(folder, { persistent: false }, (_, name) => {
        if (name === null || this.wanted.has(path.join(folder, name))) this.saved();
      });
      watcher.on('error', () => {
        watcher.close();
        this.folders.delete(folder);
        this.poll(folder);
      });
      this.folders.set(folder, watcher);
    } catch {
      // too many watches, or a file system without any
      this.poll(folder);
    }
  }

  private poll(folder: string): void {
    for (const file of this.wanted)
      if (path.dirname(file) === folder && !this.polled.has(file)) {
        this.polled.add(file);
        watchFile(file, { persistent: false, interval: POLL }, () => this.saved());
      }
  }

  private saved(): void {
    this.onStir();
    clearTimeout(this.timer);
    this.timer = setTimeout(this.onSaved, QUIET);
  }
}
