/* Whoever begins the book is offered the time zone of the browser; without this file, that of the machine stays chosen. */
"use strict";

const zones = document.getElementById("id_time_zone");
const here = new Intl.DateTimeFormat().resolvedOptions().timeZone;
if ([...zones.options].some((zone) => zone.value === here)) zones.value = here;
