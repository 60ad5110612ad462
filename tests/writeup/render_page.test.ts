import { parseHTML } from "linkedom";
import { describe, expect, test } from "vitest";
import { PAGE_POLICY, renderPage } from "../../lib/writeup/mod.ts";
import { notebookOf } from "./_notebooks.ts";
import { pageParts, shown, withOutputs } from "./_page_parts.ts";

const documentOf = (html: string): Document => parseHTML(html).document as unknown as Document;

/** A page whose one notebook shows the given HTML. */
const showing = (html: string): string =>
  renderPage(
    pageParts({
      notebooks: [{ name: "n", executed: withOutputs(notebookOf(["1"]), [shown(html)]), failure: null }],
    }),
  );

/** Everything in a page that could run or fetch something. */
function harmIn(html: string): string[] {
  const found: string[] = [];
  for (const element of documentOf(html).querySelectorAll("*")) {
    const tag = element.tagName.toLowerCase();
    if (
      /^(script|iframe|object|embed|base|form|input|button|audio|video|source|foreignobject|animate|set|image|template|portal)$/
        .test(tag)
    ) {
      found.push(`<${tag}>`);
    }
    if (tag === "link" && element.getAttribute("href") !== "data:,") found.push("<link>");
    if (tag === "style" && element.closest("head") === null) found.push("<style>");
    if (tag === "meta" && element.closest("head") === null) found.push("<meta>");
    for (const { name, value } of [...element.attributes]) {
      if (/^on/i.test(name)) found.push(name);
      if (
        /^\s*(javascript|vbscript|data:(?!image\/(png|jpeg);|,))/i.test(
          value.replace(/[\s\p{Cc}]/gu, ""),
        )
      ) found.push(`${name}=${value}`);
      if (
        /^(src|srcset|poster|background|ping|action|formaction|srcdoc)$/i.test(name) &&
        !/^data:image\/(png|jpeg);/.test(value)
      ) found.push(`${name}=${value}`);
      if (/url\(\s*['"]?(?!#)/i.test(value) || /@import|expression\(/i.test(value)) {
        found.push(`${name}=${value}`);
      }
      if (/href$/i.test(name) && tag !== "a" && tag !== "link" && !value.startsWith("#")) {
        found.push(`${name}=${value}`);
      }
    }
  }
  return found;
}

// Payloads of the kinds listed in the OWASP cheat sheet on filter evasion, written afresh (from memory).
const HOSTILE = [
  `<script>alert(1)</script>`,
  `<ScRiPt src=//example.org/x.js></sCrIpT>`,
  `<scr<script>ipt>alert(1)</scr</script>ipt>`,
  `<svg onload=alert(1)>`,
  `<svg><script>alert(1)</script></svg>`,
  `<svg><a xlink:href="javascript:alert(1)"><text>x</text></a></svg>`,
  `<svg><animate onbegin=alert(1) attributeName=x></animate></svg>`,
  `<svg><use href="data:image/svg+xml,<svg id=x/>#x"></use></svg>`,
  `<svg><use xlink:href="https://example.org/x.svg#x"></use></svg>`,
  `<svg><image href="https://example.org/x.png"></image></svg>`,
  `<svg><rect fill="url(https://example.org/x)" style="fill:url(//example.org/y)"></rect></svg>`,
  `<svg><foreignObject><iframe src="https://example.org"></iframe></foreignObject></svg>`,
  `<svg><style>@import 'https://example.org/x.css';</style></svg>`,
  `<math href="javascript:alert(1)"><mi>x</mi></math>`,
  `<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>`,
  `<math><annotation-xml encoding="text/html"><script>alert(1)</script></annotation-xml></math>`,
  `<img src=x onerror=alert(1)>`,
  `<img src="https://example.org/pixel.png">`,
  `<img src="data:text/html,<script>alert(1)</script>">`,
  `<img srcset="https://example.org/a 2x">`,
  `<a href="javascript:alert(1)">x</a>`,
  `<a href="java\nscript:alert(1)">x</a>`,
  `<a href="&#106;avascript:alert(1)">x</a>`,
  `<a href="data:text/html;base64,PHNjcmlwdD4=">x</a>`,
  `<a href="//example.org" ping="https://example.org">x</a>`,
  `<iframe srcdoc="<script>alert(1)</script>"></iframe>`,
  `<object data="x"></object><embed src="x"><base href="https://example.org/">`,
  `<form action="https://example.org"><input name=a autofocus onfocus=alert(1)><button formaction="javascript:1">x</button></form>`,
  `<meta http-equiv="refresh" content="0;url=https://example.org"><link rel=stylesheet href="https://example.org/x.css">`,
  `<style>body{background:url(https://example.org)}</style>`,
  `<p style="background:url(https://example.org);position:fixed;behavior:url(x)">x</p>`,
  `<p style="--plot-background:url(https://example.org)">x</p>`,
  `<video src="https://example.org/x"></video><audio autoplay src=x></audio>`,
  `</section></main><script>alert(1)</script>`,
  `<!--><script>alert(1)</script>-->`,
  `<template><script>alert(1)</script></template><noscript><p title="</noscript><img src=x onerror=alert(1)>">`,
  `\u202egnp.exe\u2066 <b onclick=alert(1)>x</b>`,
];

describe("renderPage()", () => {
  test("forbids itself scripts and requests, and has neither", () => {
    const html = renderPage(pageParts());
    expect(PAGE_POLICY).toBe(
      "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; base-uri 'none'; form-action 'none'",
    );
    expect(html).toContain(`<meta http-equiv="Content-Security-Policy" content="${PAGE_POLICY}">`);
    expect(harmIn(html)).toEqual([]);
    expect(html).not.toMatch(/https?:\/\/(?!www\.w3\.org)/);
  });

  test.each(HOSTILE)("makes harmless what a notebook shows as HTML: %s", (payload) => {
    expect(harmIn(showing(payload))).toEqual([]);
  });

  test("shows hostile text as text wherever a text can come from", () => {
    const bad = `"><script>alert('x')</script>&`;
    const notebook = withOutputs(
      notebookOf([
        {
          md:
            `# ${bad}\n\n${bad}\n\n[x](javascript:alert(1)) <img src=x onerror=alert(1)>\n\n$<img src=x onerror=1>$`,
        },
        bad,
        "2",
        "3",
      ]),
      [
        { output_type: "stream", name: "stdout", text: bad },
        { output_type: "execute_result", execution_count: 1, data: { "text/plain": bad }, metadata: {} },
        {
          output_type: "display_data",
          data: { "text/markdown": `${bad} [y](javascript:alert(1))` },
          metadata: {},
        },
      ],
    );
    const failing = withOutputs(notebookOf(["x"]), [{
      output_type: "error",
      ename: bad,
      evalue: bad,
      traceback: [bad],
    }]);
    const html = renderPage(pageParts({
      title: bad,
      kicker: bad,
      standfirst: bad,
      author: bad,
      notices: [bad],
      headlines: [{ label: bad, value: bad, detail: bad }],
      leftOut: [{ title: bad, reason: bad }],
      notebooks: [
        { name: "a", executed: notebook, failure: null },
        {
          name: "b",
          executed: failing,
          failure: { cell: 1, cellId: "cell-1", line: 1, name: bad, message: bad },
        },
      ],
      downloads: [{ href: "a.csv", label: bad, note: bad }],
    }));
    expect(harmIn(html)).toEqual([]);
    expect(html).not.toContain("<script");
    const text = documentOf(html).body.textContent ?? "";
    expect(text.split(bad).length - 1).toBeGreaterThanOrEqual(17);
  });

  test("refuses to link anything outside the write-up", () => {
    for (
      const href of [
        "/etc/passwd",
        "../a",
        "https://example.org",
        "javascript:alert(1)",
        "a/../b",
        "C:\\a",
        "",
      ]
    ) {
      expect(() => renderPage(pageParts({ downloads: [{ href, label: "x" }] }))).toThrow(RangeError);
    }
  });

  test("keeps what a drawing of the figures room needs", () => {
    const html = renderPage(pageParts());
    for (
      const needed of [
        'viewBox="0 0 640 240"',
        '<clipPath id="dots-1">',
        'clip-path="url(#dots-1)"',
        'fill="var(--series-1, #0072B2)"',
        'role="img"',
        'aria-label="Three dots',
      ]
    ) {
      expect(html).toContain(needed);
    }
  });

  test("puts stop rules and cautions before any number, and every heading in order", () => {
    const document = documentOf(renderPage(pageParts()));
    const text = document.body.textContent ?? "";
    expect(text.indexOf("Anything that might explode")).toBeGreaterThan(0);
    expect(text.indexOf("Anything that might explode")).toBeLessThan(text.indexOf("7.4"));
    expect(text.indexOf("Only dug signals")).toBeLessThan(text.indexOf("7.4"));
    const levels = [...document.querySelectorAll("h1,h2,h3,h4,h5,h6")].map(({ tagName }) =>
      Number(tagName[1])
    );
    expect(levels[0]).toBe(1);
    expect(levels.filter((level) => level === 1)).toHaveLength(1);
    levels.slice(1).forEach((level, i) => expect(level - levels[i]!).toBeLessThanOrEqual(1));
  });

  test("links its contents to anchors that are there, each once", () => {
    const document = documentOf(renderPage(pageParts()));
    const ids = [...document.querySelectorAll("[id]")].map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    const links = [...document.querySelectorAll('a[href^="#"]')].map((link) =>
      link.getAttribute("href")!.slice(1)
    );
    expect(links.length).toBeGreaterThan(8);
    for (const link of links) expect(ids).toContain(link);
  });

  test("folds code and joins cells that show nothing; the failing cell's code stands open with its banner", () => {
    const document = documentOf(renderPage(pageParts()));
    const summaries = [...document.querySelectorAll("details.code > summary")].map(({ textContent }) =>
      textContent
    );
    expect(summaries).toEqual(["Code, cells 1 to 2", "Code, cell 3", "Code, cell 4", "Code, cell 1"]);
    const open = [...document.querySelectorAll("details.code")].map((each) => each.hasAttribute("open"));
    expect(open).toEqual([false, false, false, true]);
    expect(document.querySelector(".part .banner")!.textContent).toContain("Cell 1, line 2: Error: x < y");
    expect(document.querySelector("header .banner a")!.getAttribute("href")).toBe("#failed-cell-2");
  });

  test("numbers figures through the page, and sets mathematics as MathML", () => {
    const html = renderPage(pageParts());
    expect(html).toContain('<span class="no">Figure 1.</span> Drag against gap');
    expect(documentOf(html).querySelectorAll("math").length).toBe(2);
    expect(html).not.toContain("$");
  });

  test("honours hide-input, remove-output and remove-cell", () => {
    const executed = withOutputs(
      notebookOf([{ code: "secretA", tags: ["hide-input"] }, { code: "codeB", tags: ["remove-output"] }, {
        code: "codeC",
        tags: ["remove-cell"],
      }]),
      [shown("<p>outA</p>"), shown("<p>outB</p>"), shown("<p>outC</p>")],
    );
    const html = renderPage(pageParts({ notebooks: [{ name: "n", executed, failure: null }] }));
    expect(["secretA", "outA", "codeB", "outB", "codeC", "outC"].map((word) => html.includes(word))).toEqual(
      [false, true, true, false, false, false],
    );
  });

  test("says in short, before the contents, the first sentence in which a part states results", () => {
    const html = showing(
      '<p class="said">No number here at all.</p>' +
        '<p class="said"><strong>Short.</strong> Of the <i>dug</i> ones, ' +
        '<data class="stated" value="0.6" title="a.b">60\u00a0% (41.5 to 80\u00a0%)</data> were good &lt;b&gt; and kept. Then more.</p>',
    );
    const short = documentOf(html).querySelector("header .short li")!;
    expect(short.textContent).toBe(
      "Short. Of the dug ones, 60\u00a0% (41.5 to 80\u00a0%) were good <b> and kept. Part\u00a01",
    );
    expect(short.querySelector("b, i, strong, data")).toBeNull();
    expect(html.indexOf('class="short"')).toBeLessThan(html.indexOf('class="contents"'));
    expect(showing("<p>Nothing said.</p>")).not.toContain('class="short"');
  });

  test("gives the same bytes for the same parts", () => {
    expect(renderPage(pageParts())).toBe(renderPage(pageParts()));
  });
});
