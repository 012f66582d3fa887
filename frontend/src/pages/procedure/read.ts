/** One item of a procedure, as far as this page shows it. */
export interface Item {
  id: string;
  stage: string;
  point: string;
  title: string;
  do: string;
  why: string;
  when: string;
  sign: string[];
  also: string;
}

/** A procedure as it is read by people. */
export interface Procedure {
  title: string;
  items: Item[];
  short: string[];
}

type Parts = Record<string, unknown>;

const parts = (v: unknown): Parts => (typeof v === "object" && v !== null ? { ...v } : {});
const text = (v: unknown): string => (typeof v === "string" ? v : "");
const texts = (v: unknown): string[] => (Array.isArray(v) ? v.filter((t): t is string => typeof t === "string") : []);

/** read takes the text of a version apart. The server has read it strictly before; what is odd is left out. */
export function read(body: string): Procedure {
  let all: Parts;
  try {
    all = parts(JSON.parse(body));
  } catch {
    all = {};
  }
  const items = Array.isArray(all["items"]) ? all["items"].map(parts) : [];
  return {
    title: text(all["title"]),
    short: texts(parts(all["short"])["items"]),
    items: items.map((i) => {
      const also = parts(i["also_sign"]);
      return {
        ...{ id: text(i["id"]), stage: text(i["stage"]), point: text(i["point"]), title: text(i["title"]), do: text(i["do"]), why: text(i["why"]), when: text(i["when"]) },
        sign: texts(i["sign"]),
        also: also["by"] === undefined ? "" : `${text(also["by"])}, when ${text(also["when"])}`,
      };
    }),
  };
}

/** stages groups the items by their stage, in the order in which they stand. */
export function stages(p: Procedure): { stage: string; items: Item[] }[] {
  const names = [...new Set(p.items.map((i) => i.stage))];
  return names.map((stage) => ({ stage, items: p.items.filter((i) => i.stage === stage) }));
}
