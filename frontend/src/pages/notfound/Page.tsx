import { Link } from "wouter-preact";
import { PageFrame } from "../../parts/PageFrame/PageFrame";

/** NotFound is what stands where no page is. */
export function NotFound() {
  return (
    <PageFrame title="There is no page here">
      <p>The address may have been cut short when it was copied.</p>
      <Link href="/projects" class="do">
        Go to the projects
      </Link>
    </PageFrame>
  );
}
