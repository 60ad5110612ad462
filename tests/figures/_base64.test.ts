import { expect, test } from "vitest";
import { encodeBase64 } from "../../lib/figures/_base64.ts";

test("encodeBase64() gives the test vectors of RFC 4648, section 10", () => {
  const of = (text: string) => encodeBase64(new TextEncoder().encode(text));
  expect(["", "f", "fo", "foo", "foob", "fooba", "foobar"].map(of)).toEqual(
    ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"],
  );
});

test("encodeBase64() joins pieces without a seam", () => {
  for (const length of [23_999, 24_000, 24_001, 100_003]) {
    const bytes = Uint8Array.from({ length }, (_, i) => (i * 7919) % 256);
    expect(Uint8Array.from(atob(encodeBase64(bytes)), (sign) => sign.charCodeAt(0))).toEqual(bytes);
  }
});
