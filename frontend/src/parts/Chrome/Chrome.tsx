import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { asking, freshToken, type Member } from "../../api/session";
import { SignInAgain } from "../SignIn/SignInAgain";
import { MemberDialog } from "./MemberDialog";
import "./chrome.css";

interface ChromeProps {
  member?: Member;
  /** The session is over, the page stays. */
  ended?: boolean;
  children?: ComponentChildren;
}

/** Chrome is what stands around every page: the head with its few words, what is wrong with the connection, the caution. */
export function Chrome({ member, ended = false, children }: ChromeProps) {
  const online = useOnline();
  return (
    <>
      <a class="skip" href="#page">
        To the page
      </a>
      <Head member={member} ended={ended} />
      <div role="status">
        {online ? null : (
          <p class="strip">
            <b>No signal.</b> Go on typing: it stays in this browser until it can be sent.
          </p>
        )}
        {ended && !asking() ? (
          <p class="strip">
            <b>You are signed out.</b> What you typed is kept on this page.
          </p>
        ) : null}
      </div>
      {children}
      <footer class="foot">
        <p>
          Nothing in this notebook is a permit. Local codes and licensed practice go first. Air under pressure, deep water and dug
          shafts kill: when in doubt, stop and ask someone who has done it.
        </p>
      </footer>
      {member && ended && asking() ? <SignInAgain member={member} /> : null}
    </>
  );
}

function Head({ member, ended }: { member: Member | undefined; ended: boolean }) {
  const [location] = useLocation();
  const [open, setOpen] = useState(false);
  return (
    <header class="head off-paper">
      <span class="mark">
        <svg viewBox="0 0 22 22" aria-hidden="true">
          <path class="level" d="M3 3h16l-8 10z" />
          <path d="M0 14h22M4 18h14M8 22h6" />
        </svg>
        leat
      </span>
      {member ? (
        <>
          <nav aria-label="Notebook">
            <Link href="/" {...(location === "/" ? { "aria-current": "page" as const } : {})}>
              Waiting
            </Link>
            <Link href="/projects" {...(location.startsWith("/projects") ? { "aria-current": "page" as const } : {})}>
              Projects
            </Link>
            <Link href="/evidence" {...(location.startsWith("/evidence") ? { "aria-current": "page" as const } : {})}>
              Evidence
            </Link>
            <Link href="/reckoner" {...(location.startsWith("/reckoner") ? { "aria-current": "page" as const } : {})}>
              Reckoner
            </Link>
            <Link href="/group" {...(location === "/group" ? { "aria-current": "page" as const } : {})}>
              Group
            </Link>
          </nav>
          {ended ? (
            <button type="button" class="plain who" onClick={() => void freshToken().catch(() => undefined)}>
              Sign in again
            </button>
          ) : (
            <button type="button" class="plain who" aria-haspopup="dialog" onClick={() => setOpen(true)}>
              {member.name}
            </button>
          )}
        </>
      ) : null}
      {open && member ? <MemberDialog member={member} onClose={() => setOpen(false)} /> : null}
    </header>
  );
}

function useOnline(): boolean {
  const [online, setOnline] = useState(navigator.onLine);
  useEffect(() => {
    const look = () => setOnline(navigator.onLine);
    window.addEventListener("online", look);
    window.addEventListener("offline", look);
    return () => {
      window.removeEventListener("online", look);
      window.removeEventListener("offline", look);
    };
  }, []);
  return online;
}
