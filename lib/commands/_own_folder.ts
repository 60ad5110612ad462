import { dirname } from "node:path";

/** A temporary folder of one call of a task. Disposing it removes it. */
export interface OwnFolder extends Disposable {
  readonly path: string;
}

const PREFIX = "overiron-";
const LOCK = ".in-use";

/**
 * Makes a temporary folder that this process holds with a lock, and removes those whose process was killed: the system gives
 * a lock back however its holder ends. Folders without such a lock, and other people's, are left alone.
 */
export function ownFolder(): OwnFolder {
  const path = Deno.makeTempDirSync({ prefix: PREFIX });
  const lock = Deno.openSync(`${path}/${LOCK}`, { createNew: true, write: true });
  lock.lockSync(true);
  // Another call may have swept it up before it was locked.
  if (!isThere(`${path}/${LOCK}`)) {
    lock.close();
    return ownFolder();
  }
  sweep(dirname(path), path);
  return {
    path,
    [Symbol.dispose]() {
      lock.close();
      remove(path);
    },
  };
}

function sweep(folder: string, own: string): void {
  for (const { name, isDirectory } of Deno.readDirSync(folder)) {
    const path = `${folder}/${name}`;
    if (!isDirectory || !name.startsWith(PREFIX) || path === own) continue;
    try {
      using lock = Deno.openSync(`${path}/${LOCK}`, { write: true });
      if (lock.tryLockSync(true)) remove(path);
    } catch {
      // Not such a folder, another person's, or just removed.
    }
  }
}

function isThere(path: string): boolean {
  try {
    return Deno.lstatSync(path).isFile;
  } catch {
    return false;
  }
}

function remove(path: string): void {
  try {
    Deno.removeSync(path, { recursive: true });
  } catch {
    // It has gone already, or something in it is still being written; the next call sweeps it up.
  }
}
