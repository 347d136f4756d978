package main

import (
	"strings"
	"testing"
)

// TestShard reads what the call and what schedulers say.
func TestShard(t *testing.T) {
	variables := []string{slurmTask, slurmFirst, slurmLast, slurmStep, kubeIndex, kubeCount}
	for _, c := range []struct {
		text  string
		env   []string // in the order of the variables
		want  [2]int
		wrong string
	}{
		{want: [2]int{0, 1}},
		{text: "0/1", want: [2]int{0, 1}},
		{text: "2/16", want: [2]int{2, 16}},
		{text: "2/16", env: []string{"7"}, want: [2]int{2, 16}}, // the call wins
		{text: "16/16", wrong: "I from 0 to N-1"},
		{text: "-1/4", wrong: "is none"},
		{text: "3", wrong: "is none"},
		{text: "a/b", wrong: "is none"},
		{text: "1/4/2", wrong: "is none"},
		{env: []string{"3", "0", "4", "1"}, want: [2]int{3, 5}},
		{env: []string{"1", "1", "16", "1"}, want: [2]int{0, 16}},
		{env: []string{"16", "1", "16"}, want: [2]int{15, 16}},
		{env: []string{"8", "2", "20", "3"}, want: [2]int{2, 7}},
		{env: []string{"9", "2", "20", "3"}, wrong: "does not say which"},
		{env: []string{"0", "1", "7", "1"}, wrong: "does not say which"},
		{env: []string{"9", "1", "7", "1"}, wrong: "does not say which"},
		{env: []string{"x"}, wrong: `SLURM_ARRAY_TASK_ID is "x"`},
		{env: []string{"1", "0", "many"}, wrong: `SLURM_ARRAY_TASK_MAX is "many"`},
		{env: []string{"", "", "", "", "3", "8"}, want: [2]int{3, 8}},
		{env: []string{"", "", "", "", "3", ""}, wrong: "set SOAKLEDGER_SHARDS to the job's completions"},
		{env: []string{"", "", "", "", "8", "8"}, wrong: "JOB_COMPLETION_INDEX is 8 and SOAKLEDGER_SHARDS is 8"},
		{env: []string{"", "", "", "", "1", "many"}, wrong: "JOB_COMPLETION_INDEX is 1 and SOAKLEDGER_SHARDS is many"},
		{env: []string{"2", "0", "3", "1", "3", "8"}, want: [2]int{2, 4}},
	} {
		for k, name := range variables {
			value := ""
			if k < len(c.env) {
				value = c.env[k]
			}
			t.Setenv(name, value)
		}
		got, err := shardOf(c.text)
		if c.wrong != "" {
			if err == nil || !strings.Contains(err.Error(), c.wrong) {
				t.Errorf("%q, %q: %+v, %v; want %s", c.text, c.env, got, err, c.wrong)
			}
			continue
		}
		if err != nil || got.index != c.want[0] || got.count != c.want[1] {
			t.Errorf("%q, %q: %+v, %v; want %v", c.text, c.env, got, err, c.want)
		}
		if told := strings.Contains(got.why, "--shard 0/1 for all"); told != (c.text == "" && len(c.env) > 0) {
			t.Errorf("%q, %q: told %q", c.text, c.env, got.why)
		}
	}
}
