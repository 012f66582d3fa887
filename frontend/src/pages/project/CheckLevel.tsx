import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchCheck, type Check } from "../check/fetch";
import { sayCheck, sayOpen } from "../check/say";
import { checkPath } from "../sheet/refs";
import { Level } from "./Fall";

type Project = Schema<"Project">;
type DesignHead = Schema<"DesignHead">;

/** CheckLevel says of each design how far other eyes have come with it. */
export function CheckLevel({ project: p }: { project: Project }) {
  const saved = p.designs.filter((d) => d.newest !== null);
  return (
    <Level name="Check" reached={p.designs.some(wasIssued)}>
      {saved.length === 0 ? (
        <p>Here checkers who are not on the crew go through a sheet, and clear it or return it. Save a sheet first.</p>
      ) : (
        <ul class="designs">
          {saved.map((d) => (
            <CheckLine key={d.id} project={p} design={d} />
          ))}
        </ul>
      )}
    </Level>
  );
}

/** wasIssued tells whether a design has been before other eyes: its newest letter, or one before it. */
const wasIssued = (d: DesignHead) => d.revision.state !== "draft" || d.revision.letter !== "A";

function CheckLine({ project, design: d }: { project: Project; design: DesignHead }) {
  const session = useSession();
  const { letter, state } = d.revision;
  const { loaded, again } = useLoad<Check>(() => fetchCheck({ project: project.id, design: d.id, letter }), [d.id, letter, state]);
  if (loaded.state !== "here") {
    return (
      <li>
        <Waiting loaded={loaded} again={again} />
      </li>
    );
  }
  const check = loaded.data;
  const next = nextStep(check, project, "member" in session ? session.member.id : 0);
  return (
    <li>
      <p>
        {project.designs.length > 1 ? <b>{d.title}: </b> : null}
        {sayCheck(check)} {sayOpen(check.open_remarks)}
      </p>
      {check.lacks[0] ? <p class="small quiet">{check.lacks[0]}</p> : null}
      <Link class={next.first ? "do" : "do second"} href={next.href} {...(project.designs.length > 1 ? { "aria-label": `${next.words}: ${d.title}` } : {})}>
        {next.words}
      </Link>
    </li>
  );
}

interface Next {
  words: string;
  href: string;
  /** It is for this reader to do. */
  first: boolean;
}

/** nextStep is the one thing to do next about the check of a letter. */
export function nextStep(c: Check, { id, crew }: Pick<Project, "id" | "crew">, me: number): Next {
  const sheet = `/projects/${id}/designs/${c.design}`;
  const check = checkPath(id, c.design, c.letter);
  const own = crew.some((p) => p.id === me);
  if (c.allowed_actions.includes("check_design")) {
    return { words: "Check it", href: check, first: true };
  }
  if (own && c.state === "draft" && c.lacks.length === 0 && c.sheet_count > 0) {
    return { words: "Issue it for check", href: sheet, first: true };
  }
  if (own && c.state === "in_check" && c.open_remarks.queries + c.open_remarks.stoppers > 0) {
    return { words: "Answer the remarks", href: check, first: true };
  }
  if (own && c.state === "returned") {
    return { words: "Start the next letter", href: check, first: true };
  }
  return c.state === "draft" ? { words: "To the sheet", href: sheet, first: false } : { words: "What was said about it", href: check, first: false };
}
