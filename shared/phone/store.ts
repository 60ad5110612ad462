// Keeps every change on the phone at once. IndexedDB writes each change through to the disk before it is called stored
// (durability "strict"): a killed browser or an empty battery loses at most the change in flight.
import {
  applyPatch,
  type Patch,
  type PhoneLog,
  type PhoneOuting,
  type PhoneSignal,
} from "../../lib/writeup/phone_log.ts";

export type Kind = "outings" | "signals";
type Record_ = PhoneOuting | PhoneSignal;

export interface Meta {
  /** Changes made so far, and how many of them the last file that was found again holds. */
  readonly revision: number;
  readonly saved: number;
}

/** What the page can say about its own storage. */
export type StoreState = "stored" | "storing" | "full" | "none";

const NAME = "overiron-field";

const done = <T>(request: IDBRequest<T>): Promise<T> =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

function openDatabase(): Promise<IDBDatabase> {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    for (const store of ["outings", "signals"]) request.result.createObjectStore(store, { keyPath: "id" });
    request.result.createObjectStore("meta");
  };
  return done(request);
}

/** One thing to write, and the change of a record that it makes, where it makes one. */
interface Work {
  readonly write: (transaction: IDBTransaction) => Promise<void>;
  readonly kind?: Kind;
  readonly id?: string;
  readonly change?: (record: Record_) => Record_;
  readonly records?: readonly Record_[];
}

export class Store {
  outings = new Map<string, PhoneOuting>();
  signals = new Map<string, PhoneSignal>();
  meta: Meta = { revision: 0, saved: 0 };
  state: StoreState = "stored";
  /** Told when something changed, here or in another window. */
  changed: (elsewhere: boolean) => void = () => {};
  #database: IDBDatabase | null = null;
  #queue: Work[] = [];
  #working = false;
  #others: BroadcastChannel | null = null;
  /** Another window wrote something that this one has not read yet. */
  #behind = false;

  async open(): Promise<void> {
    try {
      this.#database = await openDatabase();
      await this.#readAll();
    } catch {
      this.state = "none";
      return;
    }
    this.#others = new BroadcastChannel(NAME);
    this.#others.onmessage = () => {
      this.#behind = true;
      if (!this.#working) void this.#catchUp();
    };
    void navigator.storage?.persist?.().catch(() => false);
  }

  async #catchUp(): Promise<void> {
    this.#behind = false;
    try {
      await this.#readAll();
    } catch {
      return;
    }
    this.changed(true);
  }

  async #readAll(): Promise<void> {
    const transaction = this.#database!.transaction(["outings", "signals", "meta"]);
    const [outings, signals, revision, saved] = await Promise.all([
      done(transaction.objectStore("outings").getAll() as IDBRequest<PhoneOuting[]>),
      done(transaction.objectStore("signals").getAll() as IDBRequest<PhoneSignal[]>),
      done(transaction.objectStore("meta").get("revision") as IDBRequest<number | undefined>),
      done(transaction.objectStore("meta").get("saved") as IDBRequest<number | undefined>),
    ]);
    this.outings = new Map(outings.map((each) => [each.id, each]));
    this.signals = new Map(signals.map((each) => [each.id, each]));
    this.meta = {
      revision: Math.max(revision ?? 0, this.meta.revision),
      saved: Math.max(saved ?? 0, this.meta.saved),
    };
    // What was changed in this window while the storage was read is not in it yet.
    for (const waiting of this.#queue) {
      const { kind, id, change, records } = waiting;
      if (kind === undefined) continue;
      for (const record of records ?? []) this.#keep(kind, record);
      const record = kind === "outings" ? this.outings.get(id ?? "") : this.signals.get(id ?? "");
      if (change !== undefined && record !== undefined) {
        this.#keep(kind, { ...change(record), revision: this.meta.revision });
      }
    }
  }

  log(): PhoneLog {
    return { outings: [...this.outings.values()], signals: [...this.signals.values()] };
  }

  /** Whether a saved file holds a signal as it is now, and what is known of its outing, which stands in each of its rows. */
  inFile({ revision, outing }: PhoneSignal): boolean {
    const { saved } = this.meta;
    return revision <= saved && (this.outings.get(outing)?.revision ?? 0) <= saved;
  }

  /** Signals that no saved file holds as they are now. */
  unsaved(): number {
    return [...this.signals.values()].filter((signal) => !signal.deleted && !this.inFile(signal)).length;
  }

  #keep(kind: Kind, record: Record_): void {
    if (kind === "outings") this.outings.set(record.id, record as PhoneOuting);
    else this.signals.set(record.id, record as PhoneSignal);
  }

  /** Makes one change: at once in the window, and in the phone's storage by a transaction of its own. */
  patch(kind: Kind, id: string, patch: Patch): void {
    this.change(kind, id, (record) => applyPatch(record as PhoneSignal, patch));
  }

  /** Changes a record by a function, which is given what the storage holds by then. */
  change(kind: Kind, id: string, change: (record: Record_) => Record_): void {
    const record = kind === "outings" ? this.outings.get(id) : this.signals.get(id);
    if (record === undefined) return;
    this.#keep(kind, { ...change(record), revision: this.meta.revision + 1 });
    this.meta = { ...this.meta, revision: this.meta.revision + 1 };
    const write = async (transaction: IDBTransaction): Promise<void> => {
      const store = transaction.objectStore(kind);
      const here = await done(store.get(id) as IDBRequest<Record_ | undefined>);
      const revision = await this.#count(transaction);
      const next = { ...change(here ?? record), revision };
      store.put(next);
      // What was changed since then waits in the queue: the window must not fall back behind it.
      let shown: Record_ = next;
      for (const waiting of this.#queue.slice(1)) {
        if (waiting.kind === kind && waiting.id === id && waiting.change) shown = waiting.change(shown);
      }
      this.#keep(kind, shown);
    };
    this.#later({ write, kind, id, change });
  }

  async #count(transaction: IDBTransaction): Promise<number> {
    const meta = transaction.objectStore("meta");
    const revision = (await done(meta.get("revision") as IDBRequest<number | undefined>) ?? 0) + 1;
    meta.put(revision, "revision");
    this.meta = { ...this.meta, revision: Math.max(revision, this.meta.revision) };
    return revision;
  }

  /** Adds records, all of them or none. */
  add(kind: Kind, records: readonly Record_[]): void {
    const revision = this.meta.revision + 1;
    this.meta = { ...this.meta, revision };
    for (const record of records) this.#keep(kind, { ...record, revision });
    this.#later({
      kind,
      records: records.map((record) => ({ ...record, revision })),
      write: async (transaction) => {
        const revision = await this.#count(transaction);
        for (const record of records) transaction.objectStore(kind).put({ ...record, revision });
      },
    });
  }

  /** Adds the next signal of an outing; its number is given inside the transaction, so that two windows never share one. */
  nextSignal(outing: string, values: Record<string, string>): Promise<string> {
    const make = (number: number): PhoneSignal => ({
      id: `${outing}-${String(number).padStart(2, "0")}`,
      outing,
      number,
      values,
      finds: [],
      deleted: false,
      revision: this.meta.revision + 1,
    });
    const after = (signals: Iterable<PhoneSignal>): number =>
      [...signals].reduce((most, each) => each.outing === outing ? Math.max(most, each.number) : most, 0) + 1;
    if (this.#database === null || this.state === "full") {
      const signal = make(after(this.signals.values()));
      this.add("signals", [signal]);
      return Promise.resolve(signal.id);
    }
    return new Promise((resolve) => {
      const write = async (transaction: IDBTransaction): Promise<void> => {
        const store = transaction.objectStore("signals");
        const all = await done(store.getAll() as IDBRequest<PhoneSignal[]>);
        const signal = {
          ...make(after([...all, ...this.signals.values()])),
          revision: await this.#count(transaction),
        };
        store.put(signal);
        this.#keep("signals", signal);
        resolve(signal.id);
      };
      this.#later({ write });
    });
  }

  /** Notes that the file just made was found again: it holds all changes up to that one. */
  noteSaved(revision: number): void {
    this.meta = { ...this.meta, saved: Math.max(this.meta.saved, revision) };
    const write = async (transaction: IDBTransaction): Promise<void> => {
      const meta = transaction.objectStore("meta");
      const saved = await done(meta.get("saved") as IDBRequest<number | undefined>) ?? 0;
      meta.put(Math.max(saved, revision), "saved");
    };
    this.#later({ write });
  }

  #later(work: Work): void {
    if (this.#database === null) {
      this.changed(false);
      return;
    }
    this.#queue.push(work);
    if (this.state !== "full") this.state = "storing";
    this.changed(false);
    void this.#work();
  }

  async #work(): Promise<void> {
    if (this.#working) return;
    this.#working = true;
    while (this.#queue.length > 0) {
      try {
        await this.#inOne(this.#queue[0]!.write);
        this.#queue.shift();
        this.state = this.#queue.length > 0 ? "storing" : "stored";
      } catch {
        // The change stays in the queue and in the window: it is tried again, and a file can still be saved.
        this.state = "full";
        this.changed(false);
        await new Promise((resolve) => setTimeout(resolve, 2000));
      }
    }
    this.#working = false;
    this.#others?.postMessage("changed");
    this.changed(false);
    if (this.#behind) await this.#catchUp();
  }

  #inOne(write: Work["write"]): Promise<void> {
    return new Promise((resolve, reject) => {
      const stores = ["outings", "signals", "meta"];
      const transaction = this.#database!.transaction(stores, "readwrite", { durability: "strict" });
      transaction.oncomplete = () => resolve();
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
      write(transaction).catch((error) => {
        reject(error);
        try {
          transaction.abort();
        } catch {
          // It has ended already.
        }
      });
    });
  }
}
