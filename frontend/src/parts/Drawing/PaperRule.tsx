/** PaperRule is a line of 50 mm, which shows whether a print kept its scale. */
export function PaperRule() {
  return (
    <p class="paper-rule">
      <svg width="52mm" height="5mm" viewBox="-1 0 52 5" aria-hidden="true">
        <path class="rule" d="M0 0.5V4.5M0 2.5H50M50 0.5V4.5" />
      </svg>
      <span>50 mm. If it measures less, print again at 100 %, without fitting to the page.</span>
    </p>
  );
}
