import { useState } from "preact/hooks";

/** HandOver shows a one-time code and its link, this once. The code stands behind the # so that no server or proxy writes it down. */
export function HandOver({ code, page, until }: { code: string; page: "/join" | "/reset"; until: string }) {
  const [copied, setCopied] = useState("");
  const link = `${location.origin}${page}#${code}`;
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(link);
      setCopied("Copied.");
    } catch {
      setCopied("This browser does not let pages copy. Select the link by hand.");
    }
  };
  return (
    <div class="hand-over" role="status">
      <p>
        <b>Shown only now.</b> Good once, until {until}.
      </p>
      <p class="code">{code}</p>
      <p class="link">{link}</p>
      <div class="row">
        <button type="button" class="second" onClick={() => void copy()}>
          Copy the link
        </button>
        <span>{copied}</span>
      </div>
    </div>
  );
}
