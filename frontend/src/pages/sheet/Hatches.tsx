/** hatchOf gives the fill of a part of the budget: what kind of loss it is, told by hatch. */
export function hatchOf(part: string, id: string): string {
  switch (part) {
    case "compression_delivered":
      return `url(#${id}-air)`;
    case "surplus_fall":
    case "fall_in_chamber":
      return `url(#${id}-water)`;
    case "slip":
    case "bubble_rise_in_chamber":
    case "dissolved_air":
    case "carry_over":
    case "blow_off":
      return `url(#${id}-bubbles)`;
    case "small":
      return "none";
    default:
      return `url(#${id}-lines)`;
  }
}

/** Hatches are the fills of the charts: air dots, bubbles, water broken lines, and diagonals for losses of the water alone. */
export function Hatches({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`${id}-air`} width="8" height="8" patternUnits="userSpaceOnUse">
        <circle class="dot" cx="2" cy="2" r="1.3" />
        <circle class="dot" cx="6" cy="6" r="1.3" />
      </pattern>
      <pattern id={`${id}-bubbles`} width="14" height="14" patternUnits="userSpaceOnUse">
        <circle class="ring" cx="4" cy="4" r="2.4" />
        <circle class="ring" cx="11" cy="10.5" r="1.7" />
      </pattern>
      <pattern id={`${id}-water`} width="20" height="10" patternUnits="userSpaceOnUse">
        <path class="wave" d="M0 3H12M10 8H20" />
      </pattern>
      <pattern id={`${id}-lines`} width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path class="hair" d="M0 0V7" />
      </pattern>
    </defs>
  );
}
