import { useContext, useMemo, useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { Drawing } from "../../parts/Drawing/Drawing";
import type { Part } from "../../parts/Drawing/model";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { useUnits } from "../../system";
import { when } from "../../words";
import { useNarrow } from "../sheet/narrow";
import { PinsHere } from "../sheet/pins";
import { saySheet } from "../sheet/say";
import { ScaleWords } from "../sheet/ScaleWords";
import { stateWords } from "../sheet/states";
import { WholeDrawing } from "../sheet/WholeDrawing";
import type { Check, LetterAt, Remark } from "./fetch";
import { partPin, withRemarks } from "./pins";
import { shortDigest } from "./say";

interface DrawnProps {
  at: LetterAt;
  sheet: Schema<"Sheet">;
  check: Check;
  design: Schema<"Design">;
  project: Schema<"Project">;
  /** Those that stand open. */
  remarks: Remark[];
  paperScale: number;
  /** The part that is chosen. */
  part: Part | null;
  onPart: (part: Part) => void;
}

/** Drawn is the elevation with its remarks; a part of it that is chosen can get one. */
export function Drawn({ at, sheet, check, design, project, remarks, paperScale, part, onPart }: DrawnProps) {
  const units = useUnits();
  const narrow = useNarrow();
  const pins = useContext(PinsHere);
  const [scale, setScale] = useState(0);
  const drawing = useMemo(() => withRemarks(sheet.drawing, remarks), [sheet, remarks]);
  const about = saySheet(sheet.report, units) ?? "Elevation";
  const pin = part ? partPin(part) : null;
  return (
    <section class="sheet-drawing" id="drawing" aria-label="Elevation">
      <Drawing drawing={drawing} about={about} height={narrow ? 340 : 460} short={narrow} write={units.write} selected={part} onSelect={onPart} onScale={setScale} />
      <div class="off-paper" aria-live="polite">
        {pin ? (
          <>
            <p>
              Chosen: <b>{pin.name}</b>
            </p>
            {pins?.place(pin)}
          </>
        ) : (
          <p class="small quiet">Choose a part in the drawing to leave a remark on it.</p>
        )}
      </div>
      <p class="gist">{about}</p>
      {narrow ? <WholeDrawing drawing={drawing} about={about} write={units.write} onSelect={onPart} /> : null}
      <TitleBlock
        boxes={[
          { name: "project", value: project.title, wide: true },
          { name: "sheet", value: `${at.letter}.${sheet.number}` },
          { name: "state", value: stateWords[check.state] },
          { name: "design", value: design.title, wide: true },
          { name: "scale", value: <ScaleWords of={scale} paper={paperScale} /> },
          { name: "units", value: units.line, wide: true },
          { name: "saved", value: `${sheet.saved_by.name}, ${when(sheet.saved_at)}`, wide: true },
          ...(check.issue
            ? [
                { name: "issued", value: `${check.issue.issued_by.name}, ${when(check.issue.issued_at)}`, wide: true },
                { name: "digest", value: shortDigest(check.issue.digest), wide: true },
              ]
            : []),
        ]}
      />
    </section>
  );
}
