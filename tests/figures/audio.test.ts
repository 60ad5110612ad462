import { describe, expect, test } from "vitest";
import { audio } from "../../lib/figures/audio.ts";
import { recordedMediaType } from "../../lib/figures/show.ts";
import { writeWav } from "../../lib/tones/write_wav.ts";
import { sanitise } from "../../lib/writeup/_sanitise.ts";

const tone = (peak: number, bits: 8 | 16 = 16) =>
  writeWav({ left: Float64Array.of(0, peak), right: Float64Array.of(0, -peak), rateHz: 8000 }, { bits });

describe("audio()", () => {
  const wav = tone(0.5);
  const shown = audio({ wav, caption: "A <click>", description: "right high & low" });
  test("embeds the very bytes, as a player with a name and words for those who do not hear it", () => {
    const base64 = /src="data:audio\/wav;base64,([^"]+)"/.exec(shown.html)![1]!;
    expect(Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0))).toEqual(new Uint8Array(wav));
    expect(shown.html).toContain('<audio controls aria-label="A &#60;click&#62;"');
    expect(shown.html).toContain("In words: right high &#38; low.");
    expect(shown.html).not.toContain("autoplay");
    expect(shown.text).toBe("[Sound: A <click>] In words: right high & low.");
    expect(audio({ wav, caption: "A <click>", description: "right high & low" }).html).toBe(shown.html);
  });
  test("records nothing, and shows itself in a notebook", () => {
    const bundle = (shown as unknown as Record<symbol, () => Record<string, unknown>>)[
      Symbol.for("Jupyter.display")
    ]!();
    expect(bundle["text/html"]).toBe(shown.html);
    expect(bundle[recordedMediaType]).toBeUndefined();
  });
  test("passes the page's sanitiser whole", () => {
    const plain = audio({ wav, caption: "A click", description: "right high" });
    expect(sanitise(plain.html).replace("width:100%", "width: 100%")).toBe(plain.html);
  });
  test("refuses what would hurt an ear, and what is no sound", () => {
    const show = (bytes: Uint8Array, caption = "x", description = "y") => () =>
      audio({ wav: bytes, caption, description });
    expect(show(tone(0.52))).toThrow(RangeError);
    expect(show(tone(0.52))).toThrow(
      new RangeError('Cannot show sound "x": no sample may exceed 0.5 of full scale, got 0.520'),
    );
    expect(show(tone(0.52, 8))).toThrow(RangeError);
    expect(show(tone(0.5, 8))).not.toThrow();
    expect(show(new Uint8Array(3))).toThrow(
      new SyntaxError("Cannot read sound: a WAV file starts with RIFF and WAVE, got 3 bytes"),
    );
    const empty = writeWav({ left: new Float64Array(0), right: new Float64Array(0), rateHz: 8000 });
    expect(show(empty)).toThrow(new RangeError('Cannot show sound "x": it holds no sample'));
    expect(show(wav, " ")).toThrow(new RangeError("Cannot show sound: it needs a caption"));
    expect(show(wav, "x", "")).toThrow(new RangeError("Cannot show sound: it needs a description"));
  });
});
