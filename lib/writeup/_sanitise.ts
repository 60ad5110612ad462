import sanitizeHtml from "sanitize-html";

const TEXT = [
  "h1",
  "h2",
  "h3",
  "h4",
  "h5",
  "h6",
  "p",
  "div",
  "span",
  "section",
  "blockquote",
  "pre",
  "code",
  "hr",
  "br",
]
  .concat([
    "ul",
    "ol",
    "li",
    "dl",
    "dt",
    "dd",
    "a",
    "abbr",
    "b",
    "i",
    "em",
    "strong",
    "s",
    "sub",
    "sup",
    "small",
    "data",
  ])
  .concat([
    "figure",
    "figcaption",
    "audio",
    "details",
    "summary",
    "img",
    "kbd",
    "samp",
    "var",
    "q",
    "cite",
    "mark",
    "del",
    "ins",
  ])
  .concat(["table", "caption", "colgroup", "col", "thead", "tbody", "tfoot", "tr", "th", "td"]);
const SVG = [
  "svg",
  "g",
  "path",
  "line",
  "rect",
  "circle",
  "ellipse",
  "polygon",
  "polyline",
  "text",
  "tspan",
  "title",
]
  .concat([
    "desc",
    "defs",
    "clipPath",
    "linearGradient",
    "radialGradient",
    "stop",
    "marker",
    "use",
    "symbol",
    "pattern",
  ]);
const MATH = [
  "math",
  "semantics",
  "mrow",
  "mi",
  "mn",
  "mo",
  "ms",
  "mtext",
  "mspace",
  "mfrac",
  "msqrt",
  "mroot",
  "msub",
]
  .concat([
    "msup",
    "msubsup",
    "munder",
    "mover",
    "munderover",
    "mmultiscripts",
    "mprescripts",
    "mtable",
    "mtr",
    "mtd",
  ])
  .concat(["mstyle", "mpadded", "mphantom", "menclose", "merror", "mlabeledtr"]);

const SHAPE = [
  "x",
  "y",
  "x1",
  "x2",
  "y1",
  "y2",
  "cx",
  "cy",
  "r",
  "rx",
  "ry",
  "d",
  "points",
  "dx",
  "dy",
  "width",
  "height",
]
  .concat(["viewBox", "preserveAspectRatio", "transform", "rotate", "pathLength", "offset", "gradientUnits"])
  .concat([
    "gradientTransform",
    "clipPathUnits",
    "patternUnits",
    "markerWidth",
    "markerHeight",
    "refX",
    "refY",
    "orient",
  ])
  .concat(["fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-linecap"])
  .concat([
    "stroke-linejoin",
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-miterlimit",
    "opacity",
    "clip-path",
  ])
  .concat([
    "clip-rule",
    "marker-start",
    "marker-mid",
    "marker-end",
    "paint-order",
    "vector-effect",
    "text-anchor",
  ])
  .concat([
    "dominant-baseline",
    "alignment-baseline",
    "font-size",
    "font-family",
    "font-weight",
    "font-style",
  ])
  .concat([
    "font-variant",
    "letter-spacing",
    "stop-color",
    "stop-opacity",
    "shape-rendering",
    "color",
    "textLength",
  ])
  .concat(["visibility", "xmlns", "xmlns:xlink", "stroke-alignment", "overflow"]);
const MATHS = [
  "display",
  "xmlns",
  "mathvariant",
  "stretchy",
  "fence",
  "separator",
  "form",
  "lspace",
  "rspace",
  "accent",
]
  .concat([
    "accentunder",
    "minsize",
    "maxsize",
    "symmetric",
    "largeop",
    "movablelimits",
    "linethickness",
    "columnalign",
  ])
  .concat(["rowspacing", "columnspacing", "width", "height", "depth", "voffset", "notation", "scriptlevel"])
  .concat(["displaystyle", "mathcolor", "mathbackground", "columnlines", "rowlines", "encoding"]);
const ANYWHERE = [
  "id",
  "class",
  "role",
  "title",
  "lang",
  "dir",
  "tabindex",
  "aria-label",
  "aria-labelledby",
  "aria-describedby",
]
  .concat(["aria-hidden", "style"]);

// A value may name a colour, a size or a variable of the page. It may not reach outside: no address, no script.
const PLAIN = /^(?!.*(?:url|image|expression|import|\\|@))[\w\s.,%#()'"+*/-]*$/i;
const STYLES = [
  "fill",
  "stroke",
  "color",
  "font-size",
  "font-family",
  "font-weight",
  "font-variant",
  "text-align",
]
  .concat([
    "text-anchor",
    "overflow",
    "opacity",
    "--plot-background",
    "margin-left",
    "margin-right",
    "padding",
  ])
  .concat([
    "padding-left",
    "padding-right",
    "padding-top",
    "padding-bottom",
    "width",
    "height",
    "min-width",
    "border-bottom",
  ]);

const attributes: Record<string, string[]> = {
  "*": ANYWHERE,
  a: ["href"],
  img: ["src", "alt", "width", "height"],
  audio: ["src", "controls"],
  data: ["value"],
  ol: ["start", "reversed", "type"],
  details: ["open"],
  th: ["scope", "colspan", "rowspan"],
  td: ["colspan", "rowspan"],
  col: ["span"],
  colgroup: ["span"],
  use: [...SHAPE, "href", "xlink:href"],
};
for (const tag of SVG) attributes[tag] ??= SHAPE;
for (const tag of MATH) attributes[tag] ??= MATHS;

const fragmentOnly = (attribs: Record<string, string>): Record<string, string> => {
  const kept = { ...attribs };
  for (const name of ["href", "xlink:href"]) {
    if (kept[name] !== undefined && !kept[name].startsWith("#")) delete kept[name];
  }
  return kept;
};

// A sound comes with the page, as a WAV file that the reader starts. Nothing plays by itself.
const SOUND = /^data:audio\/wav;base64,[A-Za-z0-9+/]+={0,2}$/;
const PICTURE = /^data:image\/(?:png|jpeg|webp);base64,[A-Za-z0-9+/=]+$/;

// Painting attributes may refer to something inside the same drawing and to nothing else.
const PAINTS = ["fill", "stroke", "clip-path", "marker-start", "marker-mid", "marker-end"];
const insideOnly = (
  tagName: string,
  attribs: Record<string, string>,
): { tagName: string; attribs: Record<string, string> } => {
  const kept = tagName === "use" ? fragmentOnly(attribs) : { ...attribs };
  for (const name of PAINTS) {
    const value = kept[name];
    if (value !== undefined && /url/i.test(value) && !/^url\(#[\w-]+\)$/.test(value)) delete kept[name];
  }
  return { tagName, attribs: kept };
};

/**
 * Leaves of a piece of HTML only what a page without scripts and requests may hold: text, tables, figures, SVG drawings,
 * MathML and sounds that the reader starts. Everything not on the list goes; the text inside it stays, escaped. Case matters in SVG, so names are taken as written.
 */
export function sanitise(html: string): string {
  return sanitizeHtml(html, {
    allowedTags: [...TEXT, ...SVG, ...MATH],
    allowedAttributes: attributes,
    allowedSchemes: ["http", "https", "mailto"],
    allowedSchemesByTag: { img: ["data"], audio: ["data"] },
    allowedSchemesAppliedToAttributes: ["href", "src", "xlink:href", "cite"],
    allowProtocolRelative: false,
    allowedStyles: { "*": Object.fromEntries(STYLES.map((name) => [name, [PLAIN]])) },
    transformTags: Object.fromEntries(SVG.map((tag) => [tag, insideOnly])),
    // Pictures and sounds come with the page or not at all.
    exclusiveFilter: ({ tag, attribs }: { tag: string; attribs: Record<string, string> }) =>
      (tag === "img" && !PICTURE.test(attribs.src ?? "")) ||
      (tag === "audio" && !(attribs.controls !== undefined && SOUND.test(attribs.src ?? ""))),
    nonTextTags: [
      "script",
      "style",
      "textarea",
      "option",
      "noscript",
      "iframe",
      "object",
      "embed",
      "template",
    ],
    disallowedTagsMode: "discard",
    parser: { lowerCaseTags: false, lowerCaseAttributeNames: false },
  });
}
