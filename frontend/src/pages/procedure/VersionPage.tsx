import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Approval, ApprovalStamp } from "../../parts/Approval/Approval";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { listed, when } from "../../words";
import { read, stages, type Item } from "./read";
import "./page.css";

type Text = Schema<"TemplateText">;

export const fetchVersion = (version: number) => ask(api.GET("/api/v1/templates/{version}", { params: { path: { version } } }));

/** VersionPage is one version of the procedure, item by item, with who signed it. */
export default function VersionPage({ version }: { version: number }) {
  const [changes, setChanges] = useState(0);
  const { loaded, again } = useLoad<Text>(() => fetchVersion(version), [version, changes]);
  return (
    <PageFrame
      title={`Test procedure, version ${version}`}
      trail={[
        { href: "/group", name: "Group" },
        { href: "/group/procedure", name: "Test procedure" },
      ]}
      aside={loaded.state === "here" ? <ApprovalStamp state={loaded.data.state} /> : null}
    >
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : <Version template={loaded.data} changed={() => setChanges((n) => n + 1)} />}
    </PageFrame>
  );
}

function Version({ template: t, changed }: { template: Text; changed: () => void }) {
  const procedure = read(t.body);
  return (
    <div class="procedure">
      {t.by && t.at ? (
        <p>
          Proposed by {t.by.name}, {when(t.at)}. Why: {t.why}
        </p>
      ) : (
        <p>It comes with leat. No later version may ask for less.</p>
      )}
      {t.by ? (
        <Approval
          name={`procedure-${t.version}`}
          what={`version ${t.version} of the test procedure`}
          signatures={t.signatures}
          state={t.state}
          lacks={t.lacks}
          may={t.allowed_actions.includes("sign_template")}
          sign={(password) => ask(api.POST("/api/v1/templates/{version}/signatures", { params: { path: { version: t.version } }, body: { password } }))}
          signed={changed}
        />
      ) : null}
      <p class="off-paper">
        <button type="button" class="second" onClick={() => save(t)}>
          Its text as a file
        </button>
      </p>
      {stages(procedure).map(({ stage, items }) => (
        <section key={stage} aria-labelledby={`stage-${stage}`}>
          <h2 id={`stage-${stage}`}>{stageWords[stage] ?? stage}</h2>
          <ol>
            {items.map((i) => (
              <Line key={i.id} item={i} short={procedure.short.includes(i.id)} />
            ))}
          </ol>
        </section>
      ))}
    </div>
  );
}

const stageWords: Record<string, string> = {
  before: "Before",
  prepare: "Prepare",
  pressurise: "Raise the pressure",
  hold: "Hold",
  release: "Release",
  air: "First air",
  close: "Close",
};

function Line({ item: i, short }: { item: Item; short: boolean }) {
  return (
    <li>
      <h3>
        {i.id} {i.title}
      </h3>
      <p>{i.do}</p>
      <p class="small quiet">
        {i.point} point; signed by {listed(i.sign)}
        {i.also ? `, and by ${i.also}` : ""}.{i.when ? ` Asked when ${i.when}.` : ""}
        {short ? " Also for plain machines." : ""}
      </p>
      <p class="small quiet">Why: {i.why}</p>
    </li>
  );
}

/** save hands the text to the browser, to be changed and proposed. */
function save(t: Text): void {
  const url = URL.createObjectURL(new Blob([t.body], { type: "application/json" }));
  const link = document.createElement("a");
  link.href = url;
  link.download = `test-procedure-${t.version}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
