import { FileFault } from "./file_fault.ts";

/** A file in an archive, unpacked. */
export interface ZipMember {
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface ZipMembersOptions {
  readonly file: string;
  /** The most that all members together may unpack to, in bytes. */
  readonly maxUnpackedBytes: number;
  /** The most members allowed. */
  readonly maxMembers: number;
  /** Which members to unpack, by path. Default: all. */
  readonly wanted?: (path: string) => boolean;
}

const END = 0x06054b50, ENTRY = 0x02014b50, LOCAL = 0x04034b50;
const STORED = 0, DEFLATED = 8;
const PIECE = 1 << 16;
/** Absolute paths, backslashes, control characters, and what could not be decoded. */
// deno-lint-ignore no-control-regex
const ODD_PATH = /^[/\\]|^[a-zA-Z]:|[\\\u0000-\u001f\ufffd]/;

interface Entry {
  readonly path: string;
  readonly method: number;
  readonly crc: number;
  readonly packed: number;
  readonly size: number;
  readonly offset: number;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, i) => {
  let value = i;
  for (let bit = 0; bit < 8; bit++) value = value & 1 ? 0xedb88320 ^ (value >>> 1) : value >>> 1;
  return value;
});

/** CRC-32 of ISO 3309, as zip archives use it. */
export function crc32(bytes: Uint8Array): number {
  let value = 0xffffffff;
  for (const byte of bytes) value = CRC_TABLE[(value ^ byte) & 0xff]! ^ (value >>> 8);
  return (value ^ 0xffffffff) >>> 0;
}

/**
 * Unpacks the members of a zip archive (PKWARE's APPNOTE 6.3) in the order of its directory, within limits.
 *
 * Sizes are counted while unpacking, whatever the archive says of them; checksums are verified. Folders are passed over.
 *
 * Throws FileFault for a cut or broken archive; a path that leaves the folder, is absolute or holds odd characters; two
 * members of one name; members in several discs, encrypted, or packed in other ways than stored and deflated; and more
 * members or bytes than allowed.
 */
export async function zipMembers(
  bytes: Uint8Array,
  options: ZipMembersOptions,
): Promise<readonly ZipMember[]> {
  const { file, maxUnpackedBytes, maxMembers, wanted = () => true } = options;
  const refuse = (rule: string, got: string): never => {
    throw new FileFault(`Cannot read ${file}: ${rule}, got ${got}`, { file });
  };
  const entries = directory(bytes, refuse, maxMembers);
  const { Inflate } = await import("fflate");
  const members: ZipMember[] = [];
  let left = maxUnpackedBytes;
  const tooMuch = () =>
    refuse(
      `it must unpack to ${maxUnpackedBytes} bytes or fewer`,
      "more; raise maxUnpackedBytes (--max-unpacked-bytes) if it is meant",
    );
  for (const entry of entries) {
    if (!wanted(entry.path)) continue;
    const name = JSON.stringify(entry.path);
    if (entry.size > left) tooMuch();
    const packed = packedBytes(bytes, entry, refuse);
    const pieces: Uint8Array[] = [];
    let size = 0, done = entry.method === STORED;
    const take = (piece: Uint8Array): void => {
      size += piece.length;
      if (size > left) tooMuch();
      if (size > entry.size) refuse("an archive must be whole", `more in ${name} than its directory says`);
      pieces.push(piece);
    };
    if (entry.method === STORED) take(packed);
    else {
      try {
        const inflate = new Inflate((piece, last) => {
          if (piece.length > 0) take(piece);
          done ||= last;
        });
        for (let i = 0; i < packed.length && !done; i += PIECE) {
          inflate.push(packed.subarray(i, i + PIECE), i + PIECE >= packed.length);
        }
      } catch (error) {
        if (error instanceof FileFault) throw error;
        refuse("an archive must be whole", `packed data of ${name} that cannot be unpacked`);
      }
    }
    if (!done || size !== entry.size) {
      refuse("an archive must be whole", `less in ${name} than its directory says`);
    }
    const whole = pieces.length === 1 ? pieces[0]! : new Uint8Array(size);
    if (pieces.length !== 1) {
      let at = 0;
      for (const piece of pieces) {
        whole.set(piece, at);
        at += piece.length;
      }
    }
    if (crc32(whole) !== entry.crc) refuse("an archive must be whole", `a wrong checksum of ${name}`);
    left -= size;
    members.push({ path: entry.path, bytes: whole });
  }
  return members;
}

type Refuse = (rule: string, got: string) => never;

function directory(bytes: Uint8Array, refuse: Refuse, maxMembers: number): Entry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let end = bytes.length - 22;
  for (; end >= 0 && end >= bytes.length - 22 - 0xffff; end--) {
    if (view.getUint32(end, true) === END && view.getUint16(end + 20, true) === bytes.length - end - 22) {
      break;
    }
  }
  if (end < 0 || view.getUint32(end, true) !== END) {
    refuse("an archive must be whole", "no directory at its end");
  }
  const count = view.getUint16(end + 10, true), start = view.getUint32(end + 16, true);
  if (view.getUint16(end + 4, true) !== 0 || view.getUint16(end + 8, true) !== count) {
    refuse("an archive must be one file", "one in several parts");
  }
  if (count === 0xffff || start === 0xffffffff) {
    refuse("an archive must be smaller than 4 GB", "a larger kind");
  }
  if (count > maxMembers) {
    refuse(
      `an archive must have ${maxMembers} files or fewer`,
      `${count}; raise maxArchiveFiles (--max-archive-files) if it is meant`,
    );
  }
  const entries: Entry[] = [];
  const seen = new Set<string>();
  let at = start;
  for (let i = 0; i < count; i++) {
    if (at + 46 > end || view.getUint32(at, true) !== ENTRY) {
      refuse("an archive must be whole", "a broken directory");
    }
    const flags = view.getUint16(at + 8, true);
    const nameLength = view.getUint16(at + 28, true);
    const skip = nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
    if (at + 46 + skip > end) refuse("an archive must be whole", "a broken directory");
    const nameBytes = bytes.subarray(at + 46, at + 46 + nameLength);
    // Bit 11 says UTF-8. Without it only ASCII is certain, and other bytes are shown as they come.
    const path = new TextDecoder(flags & 0x800 ? "utf-8" : "latin1").decode(nameBytes);
    const shown = JSON.stringify(path);
    if (ODD_PATH.test(path) || path.split("/").includes("..") || path === "") {
      refuse("the paths in an archive must stay in its folder", shown);
    }
    if (seen.has(path)) refuse("no two files of an archive may share a name", shown);
    seen.add(path);
    if (flags & 1) refuse("an archive must not be encrypted", `the encrypted file ${shown}`);
    const method = view.getUint16(at + 10, true);
    const entry: Entry = {
      path,
      method,
      crc: view.getUint32(at + 16, true),
      packed: view.getUint32(at + 20, true),
      size: view.getUint32(at + 24, true),
      offset: view.getUint32(at + 42, true),
    };
    if (!path.endsWith("/")) {
      if (method !== STORED && method !== DEFLATED) {
        refuse("files in an archive must be stored or deflated", `method ${method} for ${shown}`);
      }
      entries.push(entry);
    }
    at += 46 + skip;
  }
  return entries;
}

function packedBytes(bytes: Uint8Array, entry: Entry, refuse: Refuse): Uint8Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { offset } = entry;
  if (offset + 30 > bytes.length || view.getUint32(offset, true) !== LOCAL) {
    refuse("an archive must be whole", `no data of ${JSON.stringify(entry.path)}`);
  }
  const from = offset + 30 + view.getUint16(offset + 26, true) + view.getUint16(offset + 28, true);
  if (from + entry.packed > bytes.length) {
    refuse("an archive must be whole", `too few data of ${JSON.stringify(entry.path)}`);
  }
  return bytes.subarray(from, from + entry.packed);
}
