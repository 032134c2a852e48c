// Lists the events of a feed as ical.js sees them, each start in UTC by the feed's own VTIMEZONE.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const calendar = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], "utf-8")));
const zones = {};
for (const zone of calendar.getAllSubcomponents("vtimezone")) {
  zones[zone.getFirstPropertyValue("tzid")] = new ICAL.Timezone(zone);
}
const events = calendar.getAllSubcomponents("vevent").map((component) => {
  const event = new ICAL.Event(component);
  const start = event.startDate;
  const property = component.getFirstProperty("dtstart");
  start.zone = zones[property.getParameter("tzid")] ?? start.zone;
  return {
    uid: event.uid,
    summary: event.summary,
    status: component.getFirstPropertyValue("status"),
    sequence: event.sequence,
    description: event.description,
    start: start.isDate ? start.toString() : new Date(start.toUnixTime() * 1000).toISOString(),
  };
});
console.log(JSON.stringify(events));
