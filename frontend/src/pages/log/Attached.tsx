import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import type { Member } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { when } from "../../words";
import type { Entry } from "./EntryLine";
import { size } from "./Pictures";
import { SignReason } from "./SignReason";

type File = Schema<"File">;

/** Attached shows the pictures of an entry as thumbnails that open, and its other files to be downloaded. */
export function Attached({ entry, project, member, changed }: { entry: Entry; project: number; member: Member; changed: (e: Entry) => void }) {
  const [open, setOpen] = useState<number | null>(null);
  const file = entry.files.find((f) => f.id === open);
  const replace = (f: File) => changed({ ...entry, files: entry.files.map((x) => (x.id === f.id ? f : x)) });
  return (
    <>
      <ul class="attached">
        {entry.files.map((f) => (
          <li key={f.id}>
            <button type="button" class="plain" aria-label={f.hidden ? `${f.name} is hidden: who and why` : `Open ${f.name}`} onClick={() => setOpen(f.id)}>
              {f.hidden ? <span class="no-picture">hidden</span> : f.kind === "picture" ? <Picture file={f} project={project} thumb /> : <span>{f.name}</span>}
            </button>
          </li>
        ))}
      </ul>
      {file ? (
        <Dialog title={file.name} wide={file.kind === "picture" && !file.hidden} onClose={() => setOpen(null)}>
          <Opened file={file} project={project} member={member} changed={replace} />
        </Dialog>
      ) : null}
    </>
  );
}

/** useBytes fetches the bytes of a file as an address within this page. */
function useBytes(project: number, file: number, thumb: boolean): { url: string; trouble: Trouble | null } {
  const [url, setUrl] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  useEffect(() => {
    let made = "";
    let gone = false;
    const params = { path: { project, file }, ...(thumb ? { query: { size: "thumb" as const } } : {}) };
    void ask(api.GET("/api/v1/projects/{project}/files/{file}", { params, parseAs: "blob" })).then((a) => {
      if (gone) {
        return;
      }
      if (a.ok && a.data instanceof Blob) {
        made = URL.createObjectURL(a.data);
        setUrl(made);
      } else if (!a.ok) {
        setTrouble(a.trouble);
      }
    });
    return () => {
      gone = true;
      URL.revokeObjectURL(made);
    };
  }, [project, file, thumb]);
  return { url, trouble };
}

function Picture({ file, project, thumb = false }: { file: File; project: number; thumb?: boolean }) {
  const { url, trouble } = useBytes(project, file.id, thumb);
  if (trouble) {
    return thumb ? <span class="no-picture">not fetched</span> : <TroubleNote trouble={trouble} />;
  }
  return url === "" ? <span class="no-picture">…</span> : <img src={url} alt={thumb ? "" : file.name} width={file.width ?? 1} height={file.height ?? 1} />;
}

interface OpenedProps {
  file: File;
  project: number;
  member: Member;
  changed: (f: File) => void;
}

function Opened({ file, project, member, changed }: OpenedProps) {
  return (
    <div class="opened">
      {file.hidden ? null : file.kind === "picture" ? <Picture file={file} project={project} /> : <Download file={file} project={project} />}
      <p class="quiet small">
        {file.made_by.name}, {when(file.made_at)}, {size(file.size)}. SHA-256 <span class="digest">{file.digest}</span>
      </p>
      {file.hides.map((h) => (
        <p key={h.at}>
          {file.hidden ? "Hidden" : "Asked that it be hidden"}: {h.by.name}, {[h.keeper ? "keeper" : "", h.steward ? "steward" : ""].filter(Boolean).join(" and ")}, {when(h.at)}: “{h.reason}”
        </p>
      ))}
      {file.hidden ? <p>Its content is gone. Its digest, who hid it and why stay.</p> : file.allowed_actions.includes("hide_file") ? <Hide file={file} project={project} member={member} changed={changed} /> : null}
    </div>
  );
}

function Hide({ file, project, member, changed }: OpenedProps) {
  const [open, setOpen] = useState(false);
  const first = file.hides.length === 0;
  if (!open) {
    return (
      <button type="button" class="second" onClick={() => setOpen(true)}>
        {first ? "It must be hidden" : "Agree that it is hidden"}
      </button>
    );
  }
  return (
    <SignReason
      name={`hide-${file.id}`}
      member={member}
      about="Why it must go"
      says={
        first
          ? "You ask that this file be hidden: a face, a legal demand. It goes when the other of a keeper and a steward signs too."
          : "You agree that this file be hidden. With your signature its content is gone for good."
      }
      word={first ? "Ask to hide it" : "Hide it for good"}
      sign={(body) => ask(api.POST("/api/v1/projects/{project}/files/{file}/hide", { params: { path: { project, file: file.id } }, body }))}
      signed={(f) => {
        setOpen(false);
        changed(f);
      }}
    />
  );
}

function Download({ file, project }: { file: File; project: number }) {
  const { url, trouble } = useBytes(project, file.id, false);
  if (trouble) {
    return <TroubleNote trouble={trouble} />;
  }
  return url === "" ? (
    <p class="quiet" role="status">
      Fetching …
    </p>
  ) : (
    <>
      <a class="do second" href={url} download={file.name}>
        Save it on this device
      </a>
      <p>Nobody has looked at what is in it: open it only if you trust who wrote the entry.</p>
    </>
  );
}
