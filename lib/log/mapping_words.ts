import type { FindWord } from "./mapping.ts";

/** A word as tables of words compare it: composed letters, lower case, single spaces, no full stop at its end. */
export const foldWord = (text: string): string => {
  const folded = text.normalize("NFC").trim().toLowerCase().replace(/[\s\u00a0\u202f]+/g, " ");
  return folded.length > 1 ? folded.replace(/\.$/, "") : folded;
};

/** A word without accents and joiners, as the lists below are written. */
export const bareWord = (text: string): string =>
  foldWord(text.replace(/\u00df/g, "ss")).normalize("NFD").replace(/\p{M}/gu, "").replace(/['\u2019`]/g, " ")
    .replace(/[_\-./\\()[\]:;,]+/g, " ").replace(/ +/g, " ").trim();

type Synonyms = Readonly<Record<string, string>>;

const YES = "y|yes|ja|j|oui|si|sim|tak|true|t|1|x|+|\u2713|\u2714";
const NO = "n|no|nein|non|nee|nao|nie|false|f|0";
const NOT_TRIED =
  "not tried|untried|did not try|nicht versucht|nicht probiert|pas essaye|no probado|niet geprobeerd";
const NOT_LOOKED = "not looked|did not look|not checked|nicht geschaut|pas regarde|no mirado|niet gekeken";
const IRON = "ferrous|iron|fe|steel|rust|eisen|stahl|fer|acier|hierro|acero|ijzer|staal|ferro";
const NOT_IRON =
  "non ferrous|nonferrous|not iron|copper|brass|bronze|lead|silver|gold|tin|pewter|aluminium|aluminum|zinc|alloy|cu|ag|au|pb|" +
  "kupfer|messing|bronze|blei|silber|zinn|buntmetall|nichteisen|cuivre|laiton|plomb|argent|etain|non ferreux|" +
  "cobre|laton|plomo|plata|oro|estano|no ferroso|koper|lood|zilver|goud|non ferro|niet ijzer";
const UNSURE =
  "?|??|unsure|not sure|unknown|maybe|unclear|cannot say|can t say|don t know|unklar|unsicher|unbekannt|incertain|inconnu|" +
  "je ne sais pas|no se|desconocido|onbekend|weet niet|twijfel";
const yesNo: Synonyms = { yes: YES, no: NO };

/** Plain words of several languages for the kit's own, one list a field; parted by bars. */
export const WORD_SYNONYMS: Readonly<Record<string, Synonyms>> = {
  site_private: yesNo,
  blind: yesNo,
  both_ways: { ...yesNo, "not-tried": NOT_TRIED },
  spot_moves: { ...yesNo, "not-tried": NOT_TRIED },
  dug: {
    ...yesNo,
    yes: `${YES}|dug|gegraben|ausgegraben|creuse|cavado|gegraven`,
    no: `${NO}|not dug|left|passed|nicht gegraben|gelassen|laisse|dejado|gelaten`,
    stopped:
      "stopped|gave up|given up|abandoned|abgebrochen|aufgegeben|abandonne|arrete|abandonado|gestopt|opgegeven",
  },
  discrimination: {
    none: "none|off|all metal|aus|keine|aucune|ninguna|geen|uit",
    "iron-silenced":
      "iron silenced|iron off|iron rejected|on|eisen aus|an|fer coupe|hierro rechazado|ijzer uit|aan",
  },
  after_turn: {
    holds:
      "holds|hold|same|stays|still there|unchanged|halt|bleibt|gleich|tient|reste|igual|se mantiene|blijft|zelfde",
    changes: "changes|changed|drops|jumpy|andert sich|wechselt|change|varie|cambia|verandert|springt",
    gone:
      "gone|lost|vanishes|disappears|weg|verschwindet|verschwunden|disparait|perdu|desaparece|verdwijnt|weg",
    "not-tried": NOT_TRIED,
  },
  iron_near: {
    none: "none|no|clean|kein|keins|keine|aucun|pas|nada|ninguno|geen|nein|non",
    some: "some|a bit|a little|few|light|moderate|etwas|wenig|un peu|algo|poco|wat|enkele|beetje",
    full: "full|heavy|lots|much|many|carpet|viel|voll|beaucoup|plein|mucho|lleno|veel|vol",
    "not-looked": NOT_LOOKED,
  },
  my_call: {
    good: "good|dig|keeper|gut|bon|bonne|bueno|buena|goed|non ferrous|not iron|nonferrous",
    iron: `${IRON}|ferraille|chatarra|schrott`,
    "cannot-say": UNSURE,
  },
  rule_said: {
    dig: "dig|graben|creuser|cavar|graven",
    leave: "leave|pass|lassen|laisser|dejar|laten",
    "cannot-say": UNSURE,
  },
  result: {
    found: "found|something|yes|gefunden|trouve|encontrado|gevonden|ja|oui|si",
    "nothing-found":
      "nothing|nothing found|empty|empty hole|none|nichts|nichts gefunden|leer|rien|vide|nada|vacio|niets|leeg",
    "not-identified": `not identified|${UNSURE}`,
  },
  iron_evidence: {
    touching: "touching|fused|beruhrend|angerostet|colle|touchant|tocando|pegado|rakend|vastgeroest",
    "in-plug": "in plug|in the plug|same plug|im ausstich|im stich|dans la motte|en el terron|in de plag",
    "in-hole": "in hole|in the hole|same hole|im loch|dans le trou|en el hoyo|in het gat",
    stain: "stain|rust|rust stain|rost|rostfleck|rouille|tache|oxido|mancha|roest|roestvlek",
    none: "none|no|kein|keins|aucun|ninguno|geen|nein|non",
    "not-looked": NOT_LOOKED,
  },
  after_dig: {
    quiet: "quiet|silent|clear|still|ruhig|leer|calme|silencieux|silencioso|stil|rustig",
    "still-sounds": "still sounds|still there|signal|noch signal|sonne encore|sigue sonando|nog signaal",
  },
  outcome_stated: {
    ferrous: `${IRON}|ferraille|chatarra|schrott`,
    "non-ferrous": NOT_IRON,
    "masked-good": "masked good|masked|maskiert|masque|enmascarado|gemaskeerd",
    unknown: UNSURE,
  },
  metal: {
    ferrous: IRON,
    "non-ferrous": NOT_IRON,
    both: "both|mixed|beides|les deux|ambos|beide",
    "not-sure": UNSURE,
  },
  keep: {
    yes: `${YES}|keep|kept|keeper|good|behalten|garde|guardado|bewaard`,
    no: `${NO}|binned|thrown|rubbish|junk|trash|weg|jete|tirado|weggegooid`,
    hazard: "hazard|danger|dangerous|live|gefahr|gefahrlich|dangereux|peligro|gevaar",
  },
  reported: { ...yesNo, "not-needed": "not needed|n a|nicht notig|pas besoin|no hace falta|niet nodig" },
  depth_indicated: {
    shallow: "shallow|top|surface|flach|oberflachlich|peu profond|superficial|poco|ondiep",
    middle: "middle|medium|mid|mittel|moyen|medio|gemiddeld|middel",
    deep: "deep|tief|profond|profundo|hondo|diep",
  },
  side: {
    left: "left|links|gauche|izquierda|l",
    right: "right|rechts|droite|derecha|r",
    both: "both|beide|les deux|ambos",
    over: "over|above|daruber|uber|dessus|encima|boven|erboven",
    under: "under|below|darunter|unter|dessous|debajo|onder|eronder",
  },
  medium: {
    "in-air": "air|in air|luft|in der luft|en l air|aire|en el aire|lucht|in de lucht",
    "on-surface": "surface|on surface|on the ground|auf dem boden|en surface|superficie|op de grond",
    "fresh-hole": "fresh|fresh hole|buried|frisch|frisches loch|trou frais|recien enterrado|vers gat",
    matured: "matured|old|aged|gealtert|alt|vieilli|viejo|oud",
  },
};

const bySynonym = new Map<string, ReadonlyMap<string, string | null>>();

/** The kit's word that a log's word plainly stands for in a field, or null where none or several do. */
export function wordMeant(field: string, written: string, words: readonly string[]): string | null {
  let known = bySynonym.get(field);
  if (known === undefined) {
    const made = new Map<string, string | null>();
    for (const [word, list] of Object.entries(WORD_SYNONYMS[field] ?? {})) {
      for (const each of list.split("|")) {
        made.set(each, made.has(each) && made.get(each) !== word ? null : word);
      }
    }
    bySynonym.set(field, known = made);
  }
  const asKit = foldWord(written).replace(/[\s_]+/g, "-");
  if (words.includes(asKit)) return asKit;
  return known.get(bareWord(written)) ?? known.get(foldWord(written)) ?? null;
}

const IRON_THINGS =
  "iron|steel|nail|nails|tack|hinge|horseshoe|bolt|screw|rust|eisen|stahl|nagel|nagele|hufeisen|schraube|rost|fer|acier|clou|clous|" +
  "vis|rouille|hierro|acero|clavo|clavos|herradura|tornillo|ijzer|staal|spijker|spijkers|hoefijzer|schroef|roest";
const OTHER_METALS = NOT_IRON;
const NOT_IRON_THINGS = "coin|coins|foil|munze|munzen|folie|monnaie|moneda|monedas|munt|munten";
const KEPT =
  "coin|coins|button|buckle|ring|brooch|ball|disc|bead|thimble|badge|pendant|token|seal|spoon|munze|munzen|knopf|schnalle|kugel|" +
  "scheibe|fingerhut|monnaie|bouton|boucle|bague|balle|disque|moneda|monedas|boton|hebilla|anillo|bala|disco|munt|munten|knoop|" +
  "gesp|kogel|schijf|vingerhoed";
const THROWN =
  `${IRON_THINGS}|foil|can|cap|wire|slag|scrap|junk|trash|rubbish|folie|dose|draht|schlacke|schrott|papier|ferraille|` +
  "scorie|lata|tapa|alambre|chatarra|blik|dop|draad|slak|rommel";
const NOTHING = "nothing|nothing found|empty|empty hole|nichts|leer|rien|vide|nada|vacio|niets|leeg";
const NEGATED = /\b(?:no|not|non|without|kein|keine|nicht|ohne|pas|sans|sin|geen|niet|zonder)\b|\?/;
/** Words that German and Dutch join to others: Kupferscheibe, hoefijzer, Messingknopf. */
const COMPOUND =
  ("eisen|stahl|kupfer|messing|silber|blei|bronze|nagel|schraube|munze|knopf|schnalle|scheibe|kugel|" +
    "koper|lood|zilver|ijzer|spijker|munt|knoop|gesp|kogel|schijf").split("|");
const joins = (token: string, part: string): boolean =>
  token.length > part.length + 2 && (token.startsWith(part) || token.endsWith(part));
const set = (list: string): ReadonlySet<string> => new Set(list.split("|"));
const sets = {
  iron: set(IRON_THINGS),
  metals: set(OTHER_METALS),
  notIron: set(NOT_IRON_THINGS),
  kept: set(KEPT),
  thrown: set(THROWN),
  nothing: set(NOTHING),
};

/**
 * What a find word says by itself of metal and keeping. Only plain words of metals and a few plain things count; words
 * that pull both ways, and words with a "not" or a question mark, say nothing.
 */
export function findMeant(written: string): FindWord {
  const bare = bareWord(written);
  if (sets.nothing.has(bare)) return { word: written, result: "nothing-found" };
  if (NEGATED.test(bare)) return { word: written };
  const tokens = bare.split(" ");
  const has = (list: ReadonlySet<string>): boolean =>
    tokens.some((token) => list.has(token) || COMPOUND.some((part) => list.has(part) && joins(token, part)));
  const iron = has(sets.iron), other = has(sets.metals) || has(sets.notIron);
  const kept = has(sets.kept), thrown = has(sets.thrown);
  return {
    word: written,
    ...(iron !== other ? { metal: iron ? "ferrous" as const : "non-ferrous" as const } : {}),
    ...(kept !== thrown ? { keep: kept ? "yes" as const : "no" as const } : {}),
  };
}
