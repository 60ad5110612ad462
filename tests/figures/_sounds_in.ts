/** The WAV files that a piece of HTML embeds. */
export const soundsIn = (html: string): Uint8Array[] =>
  [...html.matchAll(/src="data:audio\/wav;base64,([^"]+)"/g)].map((match) =>
    Uint8Array.from(atob(match[1]!), (sign) => sign.charCodeAt(0))
  );
