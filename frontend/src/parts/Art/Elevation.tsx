import "./art.css";

/**
 * Elevation is a drawing of the whole idea: a stream, the downcomer with its
 * air tubes, the buried chamber, the riser, and the pond that gets the air.
 * It carries no information that is not said in words beside it. Thin, it is
 * what will stand in a place that is still empty.
 */
export function Elevation({ thin = false }: { thin?: boolean }) {
  return (
    <svg class={thin ? "art thin" : "art"} viewBox="0 0 640 420" aria-hidden="true">
      <Hatches />
      <path class="fill" fill="url(#art-ground)" d="M0 116H262V60H280L344 136L500 162V214L548 266H640V420H0Z" />
      <Water />
      <Vessels />
      <Lines />
      <Dimensions />
    </svg>
  );
}

function Hatches() {
  return (
    <defs>
      <pattern id="art-water" width="26" height="14" patternUnits="userSpaceOnUse">
        <path class="hatch-water" d="M1 4h14M14 11h11" />
      </pattern>
      <pattern id="art-air" width="11" height="11" patternUnits="userSpaceOnUse">
        <circle class="hatch-air" cx="3" cy="3" r="1.4" />
        <circle class="hatch-air" cx="8.5" cy="8.5" r="1.4" />
      </pattern>
      <pattern id="art-ground" width="13" height="13" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path class="hatch-ground" d="M0 0v13" />
      </pattern>
    </defs>
  );
}

function Water() {
  return (
    <>
      <path class="fill" fill="url(#art-water)" d="M0 74H262V116H0Z" />
      <path class="fill" fill="url(#art-water)" d="M500 204H640V266H548L500 214Z" />
    </>
  );
}

function Vessels() {
  return (
    <>
      <path class="bare" d="M196 86H232V300H446V338H466V158H500V372H176V292H196Z" />
      <path class="fill" fill="url(#art-water)" d="M196 86H232V334H196Z" />
      <path class="fill" fill="url(#art-air)" d="M196 96H232V334H196Z" />
      <path class="fill" fill="url(#art-air)" d="M176 292H446V332H232V292H196V332H176Z" />
      <path class="fill" fill="url(#art-water)" d="M176 332H446V338H466V200H500V372H176Z" />
    </>
  );
}

function Lines() {
  return (
    <>
      <path class="thin-line" d="M0 74H262M500 204H640M176 332H196M232 332H446" />
      <path class="level" d="M96 73l-8-12h16zM540 203l-8-12h16zM404 331l-8-12h16z" />
      <path class="outline" d="M0 116H196M232 116H262V60H280L344 136L466 156.5M500 203V214L548 266H640" />
      <path class="outline" d="M188 82L196 92V292H176V372H500V204M240 82L232 92V292H446V338H466V157" />
      <path class="outline" d="M196 292V334M232 292V334" />
      <path class="visible" d="M202 46V96M208 46V96M214 46V96M220 46V96M226 46V96" />
      <path class="visible" d="M312 292V100Q312 84 328 84H566Q582 84 582 100V248M562 248H602" />
      <path class="centre" d="M214 20V396M483 176V396" />
      <circle class="bubble" cx="571" cy="236" r="3" />
      <circle class="bubble" cx="594" cy="228" r="4.5" />
      <circle class="bubble" cx="573" cy="216" r="2.5" />
    </>
  );
}

function Dimensions() {
  return (
    <path
      class="thin-line"
      d="M140 74V332M134 332H176M136 82l4-8 4 8M136 324l4 8 4-8M628 74V204M280 74H636M624 82l4-8 4 8M624 196l4 8 4-8"
    />
  );
}
