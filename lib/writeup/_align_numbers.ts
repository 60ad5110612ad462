const ROW = /<tr(?: [^>]*)?>[\s\S]*?<\/tr>/g;
const CELL = /<(t[hd])((?: [^>]*)?)>([\s\S]*?)<\/\1>/g;

/** A plain number, also of per cent: what can be compared down a column when it is set flush right. */
const NUMBER = /^[-−+]?\d[\d.,]*(?:\s?%)?$/;

const textOf = (html: string): string =>
  html.replace(/<[^>]*>/g, "").replace(/&(?:nbsp|#160);/g, " ").replace(/\s+/g, " ").trim();

/** Sets the columns of tables that hold nothing but numbers flush right, with their headings. */
export function alignNumbers(html: string): string {
  return html.replace(/<table(?: [^>]*)?>[\s\S]*?<\/table>/g, (table) => {
    const body = table.slice(table.indexOf("<tbody"));
    const rows = [...body.matchAll(ROW)].map(([row]) =>
      [...row.matchAll(CELL)].map((cell) => textOf(cell[3]!))
    );
    if (/(?:col|row)span=/.test(table) || rows.length === 0) return table;
    const numeric = rows[0]!.map((_, column) => rows.every((row) => NUMBER.test(row[column] ?? "")));
    return table.replace(ROW, (row) => {
      let column = 0;
      return row.replace(CELL, (cell, tag, attributes, content) => {
        if (!numeric[column++] || /class=/.test(attributes)) return cell;
        return `<${tag}${attributes} class="num">${content}</${tag}>`;
      });
    });
  });
}
