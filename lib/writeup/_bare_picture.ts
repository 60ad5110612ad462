import { Buffer } from "node:buffer";

/** Chunks of PNG that say how it looks (W3C PNG, 3rd edition, section 11); texts, times and EXIF are others. */
const PNG_KEPT = new Set(
  "IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP cICP sBIT bKGD pHYs acTL fcTL fdAT".split(" "),
);
/** Chunks of WebP that say how it looks (RFC 9649, section 2.7). */
const WEBP_KEPT = new Set(["VP8 ", "VP8L", "VP8X", "ALPH", "ANIM", "ANMF", "ICCP"]);

const latin = (bytes: Uint8Array, from: number, to: number): string =>
  Buffer.from(bytes.subarray(from, to)).toString("latin1");

function barePng(bytes: Uint8Array): Uint8Array[] | null {
  if (latin(bytes, 0, 8) !== "\x89PNG\r\n\x1a\n") return null;
  const kept = [bytes.subarray(0, 8)];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at + 12 <= bytes.length;) {
    const type = latin(bytes, at + 4, at + 8), next = at + 12 + view.getUint32(at);
    if (next > bytes.length) return null;
    if (PNG_KEPT.has(type)) kept.push(bytes.subarray(at, next));
    // What stands behind the end is no part of the picture.
    if (type === "IEND") return kept;
    at = next;
  }
  return null;
}

/** Whether a byte behind 0xff goes on with a scan's data: a zero, or a restart. */
const isData = (marker: number | undefined): boolean =>
  marker === 0 || (marker !== undefined && marker >= 0xd0 && marker <= 0xd7);

/** Markers as ITU-T T.81 (JPEG), table B.1, has them. */
function bareJpeg(bytes: Uint8Array): Uint8Array[] | null {
  if (bytes[0] !== 0xff || bytes[1] !== 0xd8) return null;
  const kept = [bytes.subarray(0, 2)];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 2; bytes[at] === 0xff;) {
    const marker = bytes[at + 1]!;
    // What stands behind the end is no part of the picture.
    if (marker === 0xd9) return [...kept, bytes.subarray(at, at + 2)];
    if (marker === 0xff) {
      at++;
      continue;
    }
    let next = at + 2 + view.getUint16(at + 2);
    // Behind the head of a scan its data run up to the next marker.
    if (marker === 0xda) {
      while (next < bytes.length && (bytes[next] !== 0xff || isData(bytes[next + 1]))) next++;
    }
    if (isLook(marker, latin(bytes, at + 4, at + 16))) kept.push(bytes.subarray(at, next));
    at = next;
  }
  return null;
}

/** Whether a segment says how the picture looks: all but comments and what applications put in, colours apart. */
function isLook(marker: number, head: string): boolean {
  if (marker === 0xfe) return false;
  if (marker < 0xe0 || marker > 0xef) return true;
  return (marker === 0xe0 && head.startsWith("JFIF\0")) ||
    (marker === 0xe2 && head.startsWith("ICC_PROFILE\0")) ||
    (marker === 0xee && head.startsWith("Adobe"));
}

function bareWebp(bytes: Uint8Array): Uint8Array[] | null {
  if (latin(bytes, 0, 4) !== "RIFF" || latin(bytes, 8, 12) !== "WEBP") return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const end = 8 + view.getUint32(4, true), kept: Uint8Array[] = [];
  if (end > bytes.length) return null;
  for (let at = 12; at + 8 <= end;) {
    const type = latin(bytes, at, at + 4),
      size = view.getUint32(at + 4, true),
      next = at + 8 + size + size % 2;
    if (next > end) return null;
    const chunk = bytes.slice(at, next);
    // Its flags say that EXIF (bit 3) and XMP (bit 2) follow.
    if (type === "VP8X") chunk[8]! &= ~0b1100;
    if (WEBP_KEPT.has(type)) kept.push(chunk);
    at = next;
  }
  const head = bytes.slice(0, 12);
  new DataView(head.buffer).setUint32(4, 4 + kept.reduce((sum, { length }) => sum + length, 0), true);
  return [head, ...kept];
}

const FORMATS: ReadonlyMap<string, (bytes: Uint8Array) => Uint8Array[] | null> = new Map([
  ["png", barePng],
  ["jpeg", bareJpeg],
  ["webp", bareWebp],
]);

/**
 * A picture in base64 without anything but what is seen of it: a camera writes place and time into its files, and programs
 * their user's name. Null where it is no whole picture of a format that a page shows (PNG, JPEG, WebP).
 */
export function barePicture(format: string, base64: string): string | null {
  try {
    const parts = FORMATS.get(format)?.(new Uint8Array(Buffer.from(base64, "base64"))) ?? null;
    return parts === null ? null : Buffer.concat(parts).toString("base64");
  } catch {
    return null;
  }
}

/** A text with every picture in it, written as a data address, bare; one that is no such picture becomes empty. */
export function withBarePictures(text: string): string {
  return text.replace(
    /data:image\/([\w.+-]+);base64,([A-Za-z0-9+/=]+)/g,
    (_, format: string, base64: string) => {
      const bare = barePicture(format, base64);
      return bare === null ? "data:," : `data:image/${format};base64,${bare}`;
    },
  );
}
