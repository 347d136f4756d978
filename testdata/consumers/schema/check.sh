#!/bin/sh
# Checks a JSON Schema of scenario files (default: the one kept beside the
# reader's tests): good files must be valid, broken ones must not.
#   check.sh [SCHEMA]
set -eu
here=$(cd "$(dirname "$0")" && pwd)
scenarios=$here/../../../scenarios
schema=${1:-$scenarios/testdata/schema.json}
(cd "$here" && npm ci --silent --no-audit --no-fund)
node "$here/check.mjs" "$schema" accept "$scenarios"/*.yaml "$scenarios"/testdata/good/*
# Of the broken files those whose mistake a schema can see.
broken="$scenarios/testdata/broken"
node "$here/check.mjs" "$schema" refuse \
    "$broken/no_unit.yaml" "$broken/wrong_unit.yaml" "$broken/unknown_unit.yaml" \
    "$broken/unknown_key.yaml" "$broken/unknown_key_far.yaml" "$broken/unknown_top_key.yaml" \
    "$broken/unknown_kind.yaml" "$broken/missing_kind.yaml" "$broken/key_of_other_kind.yaml" \
    "$broken/bad_name.yaml" "$broken/not_finite.yaml" "$broken/decimal_comma_block.yaml" \
    "$broken/ambiguous_minutes.yaml" "$broken/ambiguous_ratio.yaml" "$broken/unknown_fluid.yaml" \
    "$broken/share_without_name.yaml" "$broken/step_incomplete.yaml" "$broken/temperature_difference.yaml" \
    "$broken/start_word.yaml" "$broken/start_node.yaml" "$broken/list_expected.yaml" \
    "$broken/section_expected.yaml" "$broken/value_expected.yaml" "$broken/no_value.yaml" \
    "$broken/loop_and_loops.yaml" "$broken/loop_is_word.yaml" "$broken/just_a_word.yaml" \
    "$broken/just_a_list.yaml" "$broken/counts.yaml" "$broken/gallons_and_ounces.yaml" \
    "$broken/head_units.yaml" "$broken/pair_swapped.yaml" "$broken/pair_count.yaml" "$broken/pair_value.yaml" \
    "$broken/pump_speed.yaml" "$broken/fitting_twice.yaml" "$broken/plate_twice.yaml" "$broken/radiator_size.yaml" \
    "$broken/fans.yaml" "$broken/weights.yaml" "$broken/price.yaml" "$broken/chip_class.yaml" \
    "$broken/parallel_one.yaml" "$broken/parallel_brackets.yaml" "$broken/parallel_keys.yaml" "$broken/parallel_pump.yaml" \
    "$broken/case_heat.yaml" "$broken/case_work.yaml" "$broken/case_empty.yaml" \
    "$broken/study_empty.yaml" "$broken/variants_names.yaml" "$broken/variants_keys.yaml"
