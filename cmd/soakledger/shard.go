package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
)

// shard is a share of a study's parts.
type shard struct {
	index, count int
	why          string // it is this one, where nobody asked for it in the call
}

// whole is all of them.
var whole = shard{index: 0, count: 1}

// Environment in which schedulers tell a task which of how many it is.
const (
	slurmTask  = "SLURM_ARRAY_TASK_ID"
	slurmFirst = "SLURM_ARRAY_TASK_MIN"
	slurmLast  = "SLURM_ARRAY_TASK_MAX"
	slurmStep  = "SLURM_ARRAY_TASK_STEP"
	kubeIndex  = "JOB_COMPLETION_INDEX"
	kubeCount  = "SOAKLEDGER_SHARDS"
)

// shardOf reads --shard I/N or, without it, what schedulers tell a task: a Slurm array
// task its number among those of the array, a Kubernetes indexed job its index, beside
// which SOAKLEDGER_SHARDS must say how many there are, as the job's completions do.
func shardOf(text string) (shard, error) {
	if text != "" {
		return parseShard(text)
	}
	if task := os.Getenv(slurmTask); task != "" {
		s, err := slurmShard(task)
		s.why = fmt.Sprintf("shard %d/%d, since %s is %s (--shard 0/1 for all)", s.index, s.count, slurmTask, task)
		return s, err
	}
	if index := os.Getenv(kubeIndex); index != "" {
		count := os.Getenv(kubeCount)
		if count == "" {
			return shard{}, usage("%s is %s, but how many shards there are is not said: set %s to the job's completions, or give --shard %s/N", kubeIndex, index, kubeCount, index)
		}
		s, err := parseShard(index + "/" + count)
		if err != nil {
			return shard{}, usage("%s is %s and %s is %s: the first must be a number from 0 to one less than the second, which is the job's completions; or give --shard I/N", kubeIndex, index, kubeCount, count)
		}
		s.why = fmt.Sprintf("shard %d/%d, since %s is %s (--shard 0/1 for all)", s.index, s.count, kubeIndex, index)
		return s, nil
	}
	return whole, nil
}

// parseShard reads I/N, 0 <= I < N.
func parseShard(text string) (shard, error) {
	index, count, ok := strings.Cut(text, "/")
	i, err := strconv.Atoi(index)
	n, other := strconv.Atoi(count)
	if !ok || err != nil || other != nil || i < 0 || n < 1 || i >= n {
		return shard{}, usage("shard %q is none: write I/N, I from 0 to N-1, e.g. 0/4 for the first of four", text)
	}
	return shard{index: i, count: n}, nil
}

// slurmShard reads the place of an array task among first, first+step, ..., last. Shards
// of an array with gaps are those of one without: what is missing may come later.
func slurmShard(task string) (shard, error) {
	id, err := strconv.Atoi(task)
	if err != nil {
		return shard{}, usage("%s is %q, not a number; give --shard I/N", slurmTask, task)
	}
	values := map[string]int{slurmFirst: 0, slurmLast: id, slurmStep: 1}
	for name := range values {
		text := os.Getenv(name)
		if text == "" {
			continue
		}
		if values[name], err = strconv.Atoi(text); err != nil {
			return shard{}, usage("%s is %q, not a number; give --shard I/N", name, text)
		}
	}
	first, last, step := values[slurmFirst], values[slurmLast], max(values[slurmStep], 1)
	s := shard{index: (id - first) / step, count: (last-first)/step + 1}
	if id < first || id > last || first+s.index*step != id {
		return shard{}, usage("array task %d does not say which of how many shards it is: it does not lie among %d to %d by %d; give --shard I/N", id, first, last, step)
	}
	return s, nil
}
