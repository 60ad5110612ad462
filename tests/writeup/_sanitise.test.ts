import { describe, expect, test } from "vitest";
import { sanitise } from "../../lib/writeup/_sanitise.ts";

const wav = "data:audio/wav;base64,UklGRg==";

describe("sanitise() of sounds", () => {
  test("keeps a WAV file that the reader starts", () => {
    const html = `<audio controls aria-label="A target" src="${wav}"></audio>`;
    expect(sanitise(html)).toBe(html);
  });
  test("takes away whatever starts, repeats or listens to it", () => {
    expect(sanitise(`<audio controls autoplay loop muted preload="auto" onplay="x()" src="${wav}"></audio>`))
      .toBe(
        `<audio controls src="${wav}"></audio>`,
      );
    expect(
      sanitise(
        `<audio controls src="${wav}"><source src="https://example.org/x.wav"><track src="x.vtt"></audio>`,
      ),
    ).toBe(`<audio controls src="${wav}"></audio>`);
  });
  test.each([
    `<audio src="${wav}"></audio>`,
    `<audio controls></audio>`,
    `<audio controls src="https://example.org/x.wav"></audio>`,
    `<audio controls src="//example.org/x.wav"></audio>`,
    `<audio controls src="data:audio/mpeg;base64,UklGRg=="></audio>`,
    `<audio controls src="data:audio/wav,RIFF"></audio>`,
    `<audio controls src="data:audio/wav;base64,UklG\nRg=="></audio>`,
    `<audio controls src="data:text/html;base64,UklGRg=="></audio>`,
    `<video controls src="${wav}"></video>`,
    `<source src="${wav}">`,
    `<embed src="${wav}">`,
    `<img src="${wav}">`,
    `<AUDIO CONTROLS SRC="${wav}"></AUDIO>`,
  ])("keeps nothing of %s", (html) => {
    expect(sanitise(html)).toBe("");
  });
});
