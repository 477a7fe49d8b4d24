#!/bin/sh
# Read once, by the empty database: one for each workshop.
set -e
for workshop in mill_lane quarry_road; do
    createdb --username "$POSTGRES_USER" "$workshop"
done
