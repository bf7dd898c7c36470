import type { AlertPriority } from "../../shared/run/alerts/priority.ts";
import "./alert-line.css";

/** Danger is an octagon, caution a triangle, advice a disc (ISO 22324 for their colours). */
export function AlertShape({ priority }: { priority: AlertPriority }) {
  return (
    <svg className="alert-line-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {priority === "danger" ? (
        <path d="M7.5 1h9L23 7.5v9L16.5 23h-9L1 16.5v-9zM10.6 5.5v8.2h2.8V5.5zm0 10.3v2.7h2.8v-2.7z" />
      ) : priority === "caution" ? (
        <path d="M12 1.5 23.5 22H.5zM10.7 8.6v6.8h2.6V8.6zm0 8.3v2.5h2.6v-2.5z" />
      ) : (
        <path d="M12 1a11 11 0 1 0 .01 0zM10.6 5.5v2.7h2.8V5.5zm0 4.8v8.2h2.8v-8.2z" />
      )}
    </svg>
  );
}
