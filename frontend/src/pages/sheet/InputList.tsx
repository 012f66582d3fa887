import { applies, choiceWords, labelOf, nameOf, textsOf, unitOf, type CalcField } from "./fields";

const groupWords: Record<string, string> = { n_parallel: "intake", params: "coefficient", takeoff: "take-off" };

/** InputList lists what a sheet is calculated from; what it does not say takes its default. */
export function InputList({ fields, input }: { fields: CalcField[]; input: unknown }) {
  const texts = textsOf(fields, input);
  const said = fields.filter((f) => f.kind !== "object" && applies(f, texts) && texts[nameOf(f.at)]);
  return (
    <dl class="answers">
      {said.map((f) => (
        <div key={f.at}>
          <dt>
            {groupOf(f)}: {labelOf(f)}
          </dt>
          <dd>
            {choiceWords[texts[nameOf(f.at)] ?? ""] ?? texts[nameOf(f.at)]}
            {f.kind === "choice" || unitOf(f).name === "" ? "" : `\u202F${unitOf(f).name}`}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function groupOf(f: CalcField): string {
  const group = f.at.split("/")[1] ?? "";
  return groupWords[group] ?? group;
}
