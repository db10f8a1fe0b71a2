// A refused thing, put back into the form that it came from: mended there, it goes up again.

import { formOf } from "./view.js";

/** What stands in the form's fields for a body: numbers as they were typed, in the shown unit. */
export function draftOf(body, form) {
  const draft = {};
  for (const field of form.fields) {
    const value = body[field.name];
    if (field.type === "position") {
      if (body.latitude !== undefined) draft[field.name] = { latitude: body.latitude, longitude: body.longitude, accuracy_ft: body.accuracy_ft };
    } else if (field.type === "number" && value !== undefined) draft[field.name] = String(Math.round((value / (field.factor || 1)) * 100) / 100);
    else if (value !== undefined) draft[field.name] = value;
  }
  return draft;
}

/** Open the form with what was typed; once it is kept again, the refused thing is settled. */
export function mend(thing, sheet) {
  const found = formOf(thing, sheet.data);
  if (!found) return;
  sheet.drafts.forms[found.key] = draftOf(thing.body, found.form);
  sheet.drafts.mending = { ...sheet.drafts.mending, [found.key]: thing.n };
  sheet.go(found.step);
}
