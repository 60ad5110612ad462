/** Base64 of bytes, with padding (RFC 4648, section 4). */
export function encodeBase64(bytes: Uint8Array): string {
  // In pieces: a call takes only so many arguments. Three bytes make four signs, so pieces of a multiple of three join.
  let text = "";
  for (let at = 0; at < bytes.length; at += 24_000) {
    text += btoa(String.fromCharCode(...bytes.subarray(at, at + 24_000)));
  }
  return text;
}
