import type { MappedTableName } from "./mapping.ts";
import { mappableFields } from "./mapping.ts";
import { unitInHeading } from "./mapping_numbers.ts";
import { bareWord } from "./mapping_words.ts";
import { nearestWord } from "./nearest_word.ts";

const DAYS = "date|day|when|datum|tag|fecha|data|jour|dia|dag|found on|fund datum|funddatum";
const TIMES =
  "time|datetime|date time|date and time|timestamp|clock|zeit|uhrzeit|zeitpunkt|heure|hora|tijd|ora|logged at|recorded at";
const DEPTHS = "depth|tiefe|profondeur|profundidad|diepte|profondita";

/** Plain words of several languages for what a column holds, one list a field; parted by bars, without accents. */
const DIG: Readonly<Record<string, string>> = {
  signal_id:
    "signal|signal no|signal nr|signal number|signal id|no|nr|num|numero|#|id|record|entry|row|lfd nr|laufende nummer|nummer|fund nr|target no|point|waypoint|name|ref",
  outing_id: "outing|trip|session|walk|begehung|ausflug|sortie|salida|tocht|uitje",
  date: DAYS,
  seen_at: TIMES,
  site:
    "site|place|location|field|where|permission|land|ort|fundort|fundstelle|acker|flur|stelle|lieu|terrain|champ|site de fouille|sitio|lugar|campo|parcela|plaats|akker|vindplaats|locatie|luogo",
  site_private: "private|privat|prive|privado",
  machine:
    "machine|detector|device|maschine|gerat|detektor|sonde|detecteur|appareil|maquina|aparato|apparaat|toestel",
  settings:
    "settings|setting|setup|program|programme|mode|einstellung|einstellungen|programm|reglage|reglages|ajuste|ajustes|instelling|instellingen",
  discrimination: "discrimination|disc|diskriminierung|discriminacion|discriminatie|iron silenced",
  observer:
    "observer|who|person|finder|operator|user|by|beobachter|sucher|wer|qui|observateur|quien|observador|wie|waarnemer|zoeker",
  ground: "ground|soil|boden|erde|sol|suelo|tierra|bodem|grond",
  moisture: "moisture|wetness|wet|feuchte|feuchtigkeit|humidite|humedad|vocht|vochtigheid",
  holes_filled: "holes filled|filled holes",
  balance: "balance|ground balance|bodenabgleich|equilibre|balance sol",
  both_ways:
    "both ways|both directions|two way|two ways|both sides|beidseitig|beide richtungen|deux sens|dans les deux sens|ambos sentidos|dos sentidos|beide richtingen",
  after_turn:
    "after turn|after quarter turn|quarter turn|turned|rotated|nach drehung|vierteldrehung|quart de tour|cuarto de vuelta|kwartslag",
  spot_moves: "spot moves|moves|moved|wandert|bouge|se mueve|verschuift",
  iron_near:
    "iron near|iron nearby|iron around|iron level|iron|eisen umgebung|eisen in der nahe|ferraille autour|fer autour|hierro cerca|ijzer in de buurt",
  tone_heard: "tone|tone heard|sound|pitch|audio|ton|klang|son|tono|sonido|toon|geluid",
  depth_indicated:
    `${DEPTHS}|depth shown|depth indicated|indicated depth|depth on display|estimated depth|depth guess|tiefenanzeige|angezeigte tiefe|profondeur affichee|profondeur indiquee|profundidad indicada|aangegeven diepte`,
  my_call:
    "my call|call|guess|prediction|expected|expectation|before digging|tipp|einschatzung|vermutung|avis|mon avis|prevision|opinion|mi opinion|inschatting|gok",
  dig_chance: "dig chance|chance of digging",
  latitude: "lat|latitude|breite|breitengrad|latitud|breedtegraad|y",
  longitude: "lon|lng|long|longitude|lange|langengrad|longitud|lengtegraad|x",
  dug:
    "dug|dig|dug it|dug up|recovered|gegraben|ausgegraben|creuse|fouille|cavado|excavado|gegraven|opgegraven",
  stopped_why: "stopped why|why stopped|reason|grund|raison|motivo|reden",
  hole_id: "hole|hole no|loch|trou|hoyo|gat",
  result: "result|ergebnis|resultat|resultado|resultaat",
  iron_evidence:
    "iron evidence|iron with it|iron in hole|iron found|eisen dabei|eisen im loch|fer dans le trou|hierro en el hoyo|ijzer in het gat",
  iron_distance:
    "iron distance|distance to iron|distance iron|nearest iron|iron gap|abstand eisen|eisen abstand|abstand zum eisen|distance du fer|distancia al hierro|afstand tot ijzer",
  after_dig:
    "after dig|after digging|hole after|hole after digging|loch danach|trou apres|hoyo despues|gat daarna",
  outcome_stated: "outcome|class|category|verdict|klasse|kategorie|classe|categorie|clase|categoria|type",
  what:
    "find|found|item|object|what|what was it|desc|description|target found|dug target|fund|gegenstand|objekt|was|beschreibung|trouvaille|objet|quoi|hallazgo|objeto|que|vondst|voorwerp|wat",
  metal: "metal|material|metall|metallart|magnet|magnetic|matiere|matiere metal|aimant|iman|metaal|magneet",
  keep: "keep|kept|keeper|worth keeping|behalten|aufgehoben|garde|a garder|guardado|guardar|bewaard|bewaren",
  depth_cm:
    `${DEPTHS}|actual depth|depth found|depth dug|find depth|real depth|measured depth|hole depth|fundtiefe|gemessene tiefe|profondeur reelle|profondeur de l objet|profundidad real|vonddiepte|werkelijke diepte`,
  readings_alone:
    "alone|reading alone|readings alone|out of hole|reading out of hole|after removal|allein|wert allein|seul|valeur seule|solo|valor solo|alleen",
  reported: "reported|gemeldet|declare|declarado|gemeld",
  notes:
    "notes|note|remarks|remark|comments|comment|bemerkung|bemerkungen|notiz|notizen|kommentar|remarque|remarques|commentaire|nota|notas|comentario|opmerking|opmerkingen",
  coil_height_cm: "coil height|spulenhohe|hauteur du disque|altura del plato|schotelhoogte",
};
const GARDEN: Readonly<Record<string, string>> = {
  trial_id:
    "trial|trial no|trial nr|test|test no|test nr|versuch|versuch nr|essai|ensayo|prueba|proef|no|nr|num|numero|#|id|nummer",
  block: "block|session|group|gruppe|groupe|grupo|groep|serie",
  run_order: "order|run|run order|reihenfolge|ordre|orden|volgorde",
  tried_at: `${DAYS}|${TIMES}`,
  machine: DIG.machine!,
  settings: DIG.settings!,
  discrimination: DIG.discrimination!,
  spot: "spot|position|stelle|place|lugar|plek",
  medium: "medium|in|laid in|lag in|boden|sol",
  target: "target|object|ziel|zielobjekt|objekt|cible|objet|objetivo|objeto|doel|voorwerp",
  target_tilt: "target tilt|tilt|neigung|inclinaison|inclinacion|helling",
  target_size_mm:
    "target size|size|diameter|target diameter|grosse|durchmesser|taille|diametre|tamano|diametro|grootte",
  depth_cm: `${DEPTHS}|target depth|zieltiefe`,
  coil_height_cm: `height|coil height|hohe|spulenhohe|hauteur|altura|hoogte`,
  neighbour:
    "neighbour|neighbor|iron|nail|junk|other|nachbar|storer|eisen|nagel|voisin|clou|fer|vecino|clavo|hierro|buur|spijker|ijzer",
  neighbour_kind: "neighbour kind|neighbor kind|kind|art|sorte|tipo|soort",
  neighbour_length_mm:
    "neighbour length|neighbor length|nail length|length|nagellange|lange|longueur|longueur clou|largo|lengte",
  neighbour_thickness_mm: "neighbour thickness|nail thickness|thickness|dicke|epaisseur|grosor|dikte",
  neighbour_count: "neighbour count|nails|count of nails|anzahl|nombre|cantidad|aantal",
  side: "side|seite|cote|lado|zijde|kant",
  neighbour_heading_deg: "heading|angle|winkel|angle du clou|angulo|hoek",
  gap_cm:
    "gap|distance|spacing|separation|abstand|lucke|ecart|espace|distancia|separacion|afstand|tussenruimte",
  height_difference_cm:
    "height difference|hohenunterschied|difference de hauteur|diferencia de altura|hoogteverschil",
  tone_heard: DIG.tone_heard!,
  blind: "blind|blindtest|a l aveugle|a ciegas",
  clean_readings:
    "clean|clean reading|clean readings|target alone|without iron|ohne eisen|ziel allein|sans fer|cible seule|sin hierro|zonder ijzer",
  neighbour_readings:
    "neighbour alone|neighbor alone|iron alone|nail alone|nagel allein|eisen allein|clou seul|fer seul|clavo solo|ijzer alleen",
  notes: DIG.notes!,
};

const READING =
  "reading|readings|id|ids|target|number|numbers|value|values|pass|passes|sweep|sweeps|swing|signal|conductivity|wert|werte|messwert|messwerte|leitwert|anzeige|zahl|durchgang|lecture|lectures|valeur|valeurs|passage|passe|lectura|lecturas|valor|valores|pasada|pasadas|meting|metingen|waarde|waarden|display|shown";
const RIGHT =
  "left to right|l to r|l r|ltr|lr|going right|right|rightwards|r|forward|there|hin|nach rechts|links nach rechts|rechts|vers la droite|droite|aller|derecha|a la derecha|ida|naar rechts|heen|destra";
const LEFT =
  "right to left|r to l|r l|rtl|rl|going left|left|leftwards|l|back|return|zuruck|ruck|nach links|rechts nach links|links|vers la gauche|gauche|retour|izquierda|a la izquierda|vuelta|naar links|terug|sinistra";
const CROSS =
  "cross|crosswise|across|turned|after turn|quarter turn|90|at 90|quer|gekreuzt|gedreht|kreuz|en travers|croise|cruzado|cruz|dwars|kruis";
const SILENT =
  "silent|silent passes|no number|no tone|dropouts|misses|missed|nulls|stumm|ohne ton|ohne wert|muet|muets|sans valeur|mudo|mudas|sin valor|stil|zonder waarde";
const COUNT =
  "count|number of passes|passes made|total passes|anzahl|anzahl durchgange|nombre|nombre de passages|numero de pasadas|aantal|aantal metingen";

const longestFirst = (list: string): string[] =>
  list.split("|").sort((a, b) => b.length - a.length || (a < b ? -1 : 1));
const SIDES = { right: longestFirst(RIGHT), left: longestFirst(LEFT), cross: longestFirst(CROSS) } as const;
const [READING_WORDS, SILENT_WORDS, COUNT_WORDS] = [READING, SILENT, COUNT].map(longestFirst) as [
  string[],
  string[],
  string[],
];

/** Takes a phrase out of the words of a heading, or gives null where it is not among them. */
function without(text: string, phrase: string): string | null {
  const at = ` ${text} `.indexOf(` ${phrase} `);
  return at < 0 ? null : ` ${text} `.replace(` ${phrase} `, " ").trim().replace(/ +/g, " ");
}

/** What the heading of a readings column says: a direction, and which pass where each has a column. */
export interface ReadingsHeading {
  readonly field: string;
  readonly pass: number | null;
  /** Whether the heading names readings at all, or only a direction. */
  readonly sure: boolean;
}

const bareHeading = (heading: string): string =>
  bareWord(heading.replace(/(\p{L})(\d)/gu, "$1 $2").replace(/[\u2192>]/g, " to "));

/** The longest phrase for a direction in the words of a heading, and the words without it; null where there is none. */
export function sideOfHeading(
  heading: string,
): { readonly side: keyof typeof SIDES; readonly rest: string } | null {
  const text = bareHeading(heading);
  let side: keyof typeof SIDES | null = null, best = "";
  for (const [name, phrases] of Object.entries(SIDES)) {
    for (const phrase of phrases) {
      if (phrase.length <= best.length || without(text, phrase) === null) continue;
      [side, best] = [name as keyof typeof SIDES, phrase];
    }
  }
  return side === null ? null : { side, rest: without(text, best)! };
}

/** Reads a heading as one of readings, silent passes or a count of passes; null where a word of it says otherwise. */
export function readingsHeading(heading: string): ReadingsHeading | null {
  let text = bareHeading(heading);
  let kind: "readings" | "silent" | "passes" = "readings";
  for (const [words, name] of [[SILENT_WORDS, "silent"], [COUNT_WORDS, "passes"]] as const) {
    if (kind !== "readings") break;
    for (const phrase of words) {
      const rest = without(text, phrase);
      if (rest === null) continue;
      [text, kind] = [rest, name];
      break;
    }
  }
  const sided = sideOfHeading(text);
  const side = sided?.side ?? null;
  if (sided !== null) text = sided.rest;
  let sure = kind !== "readings";
  for (let again = true; again;) {
    again = false;
    for (const phrase of READING_WORDS) {
      const rest = without(text, phrase);
      if (rest === null) continue;
      [text, sure, again] = [rest, true, true];
    }
  }
  const number = /^(\d{1,2})$/.exec(text);
  if (text !== "" && number === null) return null;
  if (!sure && side === null) return null;
  if (kind !== "readings") {
    return side === null || number !== null ? null : { field: `${kind}_${side}`, pass: null, sure };
  }
  return {
    field: side === null ? "readings" : `readings_${side}`,
    pass: number === null ? null : Number(number[1]),
    sure,
  };
}

/** A field that a heading may mean, how surely (0 to 1), and why, in words. */
export interface HeadingGuess {
  readonly field: string;
  readonly score: number;
  readonly reason: string;
  readonly pass?: number;
}

const listed = new Map<MappedTableName, ReadonlyMap<string, readonly string[]>>();
function synonymsOf(table: MappedTableName): ReadonlyMap<string, readonly string[]> {
  let known = listed.get(table);
  if (known === undefined) {
    const names = new Set(mappableFields(table).map((field) => field.name));
    known = new Map(
      Object.entries(table === "trials" ? GARDEN : DIG).filter(([name]) =>
        names.has(name) || (name === "iron_distance" && table === "signals")
      ).map(([name, list]) => [name, list.split("|")]),
    );
    listed.set(table, known);
  }
  return known;
}

/** The fields that a heading may mean by its words alone, the surest first. */
export function guessHeading(written: string, table: MappedTableName): readonly HeadingGuess[] {
  const heading = written.replace(/[?!*:]+/g, " ").trim();
  const guesses = new Map<string, HeadingGuess>();
  const add = (guess: HeadingGuess): void => {
    const known = guesses.get(guess.field);
    if (known === undefined || known.score < guess.score) guesses.set(guess.field, guess);
  };
  const number = /^(.*\D)[ _]?([2-9]|1\d)$/.exec(heading);
  const unit = unitInHeading(heading);
  for (
    const [text, taken, note] of [
      [heading, 0, ""],
      ...(unit === null ? [] : [[unit.rest, 0.01, ", with its unit"] as const]),
      ...(/[([]/.test(heading)
        ? [[heading.replace(/[([].*$/, ""), 0.05, ", without what is in brackets"] as const]
        : []),
    ] as const
  ) {
    const bare = bareWord(text);
    if (bare === "") continue;
    for (const [field, words] of synonymsOf(table)) {
      if (words.includes(bare)) {
        add({ field, score: 0.9 - taken, reason: `the heading is a plain word for it${note}` });
      } else if (words.some((word) => word.length > 3 && without(bare, word) !== null)) {
        add({ field, score: 0.55 - taken, reason: `the heading holds a plain word for it${note}` });
      }
    }
  }
  if (number !== null && table === "signals") {
    const bare = bareWord(number[1]!);
    for (const base of ["what", "metal", "keep", "depth_cm", "readings_alone"]) {
      if (synonymsOf(table).get(base)?.includes(bare)) {
        add({
          field: `${base}_${number[2]}`,
          score: 0.85,
          reason: "the heading is a plain word for it with a number",
        });
      }
    }
  }
  const reading = table === "signals" || table === "trials" ? readingsHeading(heading) : null;
  if (reading !== null) {
    add({
      field: reading.field,
      score: reading.sure ? (reading.field === "readings" && reading.pass === null ? 0.8 : 0.9) : 0.7,
      reason: reading.pass === null ? "the heading names readings" : "the heading names a pass of readings",
      ...(reading.pass === null ? {} : { pass: reading.pass }),
    });
  }
  if (guesses.size === 0) {
    const names = mappableFields(table).map((field) => field.name);
    const long = bareWord(heading).length > 4;
    const near = long ? nearestWord(bareWord(heading).replaceAll(" ", "_"), names) : null;
    if (near !== null) add({ field: near, score: 0.5, reason: "the heading is close to the field's name" });
    else {
      for (const [field, words] of synonymsOf(table)) {
        if (long && nearestWord(bareWord(heading), words.filter((word) => word.length > 4)) !== null) {
          add({ field, score: 0.4, reason: "the heading is close to a plain word for it" });
        }
      }
    }
  }
  return [...guesses.values()].sort((a, b) => b.score - a.score || (a.field < b.field ? -1 : 1));
}
