import { describe, expect, test } from "vitest";
import { barePicture, withBarePictures } from "../../lib/writeup/_bare_picture.ts";
import { latin } from "./_layers.ts";
import { PICTURES } from "./_pictures.ts";

const KINDS = ["png", "jpeg", "webp"] as const;
const bytesOf = (base64: string): Uint8Array<ArrayBuffer> => Uint8Array.fromBase64(base64);
const join = (...parts: Uint8Array[]): string =>
  Uint8Array.from(parts.flatMap((part) => [...part])).toBase64();

describe("barePicture()", () => {
  test.each(KINDS)(
    "takes place, time, name and comment out of a %s, and leaves a picture of the same size",
    async (kind) => {
      const before = latin(bytesOf(PICTURES[kind]));
      for (const planted of ["47.65432", "Wilhelmina"]) expect(before).toContain(planted);
      const bare = barePicture(kind, PICTURES[kind])!;
      const after = latin(bytesOf(bare));
      for (const gone of ["47.65432", "Wilhelmina", "Exif", "EXIF", "eXIf", "XMP", "xmp", "tEXt", "2031"]) {
        expect(`${gone} ${after.includes(gone)}`).toBe(`${gone} false`);
      }
      const sizes = await Promise.all([PICTURES[kind], bare].map(async (base64) => {
        const { width, height } = await createImageBitmap(
          new Blob([bytesOf(base64)], { type: `image/${kind}` }),
        );
        return [width, height];
      }));
      expect(sizes).toEqual([[24, 16], [24, 16]]);
      // Nothing is left to take out.
      expect(barePicture(kind, bare)).toBe(bare);
    },
  );

  test.each(KINDS)("leaves out what stands behind the end of a %s, and refuses one that is cut", (kind) => {
    const whole = bytesOf(PICTURES[kind]);
    expect(barePicture(kind, join(whole, new TextEncoder().encode("47.65432")))).toBe(
      barePicture(kind, PICTURES[kind]),
    );
    expect(barePicture(kind, join(whole.subarray(0, whole.length - 20)))).toBe(null);
  });

  test("refuses other kinds, and a kind under another's name", () => {
    expect(barePicture("gif", PICTURES.gif)).toBe(null);
    expect(barePicture("png", PICTURES.jpeg)).toBe(null);
    expect(barePicture("jpeg", "")).toBe(null);
  });

  test("a JPEG of several scans is kept to its end", () => {
    // Head, frame, a scan with a byte that only looks like a marker and a restart, a comment, another scan, the end.
    const part = (marker: number, body: number[]): number[] => [0xff, marker, 0, body.length + 2, ...body];
    const scan = [...part(0xda, [1]), 7, 0xff, 0, 8, 0xff, 0xd3, 9];
    const [start, end] = [[0xff, 0xd8, ...part(0xc0, [1, 2])], [...part(0xda, [2]), 5, 0xff, 0xd9]];
    const comment = part(0xfe, [65, 66]);
    expect(barePicture("jpeg", Uint8Array.from([...start, ...scan, ...comment, ...end]).toBase64()))
      .toBe(Uint8Array.from([...start, ...scan, ...end]).toBase64());
  });
});

test("withBarePictures() finds pictures in a text, and leaves none that it does not know", () => {
  const text =
    `![a](data:image/png;base64,${PICTURES.png}) data:image/gif;base64,${PICTURES.gif} data:audio/wav;base64,AAAA`;
  expect(withBarePictures(text)).toBe(
    `![a](data:image/png;base64,${barePicture("png", PICTURES.png)}) data:, data:audio/wav;base64,AAAA`,
  );
});
