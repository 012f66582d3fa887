import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";
import "./dialog.css";

export interface DialogProps {
  title: string;
  /** Called for Escape and for the closing button; the caller then takes the dialog away. */
  onClose: () => void;
  /** The word on the closing button. */
  closeWord?: string;
  /** As wide as the page allows, for pictures that stand side by side. */
  wide?: boolean;
  children: ComponentChildren;
}

/** Dialog is the browser's own modal dialog: the page behind stays as it was, the focus comes back to it. */
export function Dialog({ title, onClose, closeWord = "Close", wide = false, children }: DialogProps) {
  const box = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const before = document.activeElement;
    box.current?.showModal();
    if (box.current) {
      box.current.scrollTop = 0; // the browser goes to the first control, which may stand far down
    }
    return () => {
      if (before instanceof HTMLElement) {
        before.focus();
      }
    };
  }, []);
  const cancel = (e: Event) => {
    e.preventDefault();
    onClose();
  };
  return (
    <dialog class={wide ? "dialog wide" : "dialog"} ref={box} aria-labelledby={titleId} onCancel={cancel}>
      <h2 id={titleId}>{title}</h2>
      {children}
      <button type="button" class="plain" onClick={onClose}>
        {closeWord}
      </button>
    </dialog>
  );
}
