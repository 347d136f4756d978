package main

import (
	"os"
	"strconv"
	"strings"
)

// shard is a share of a study's parts.
type shard struct{ index, count int }

// whole is all of them.
var whole = shard{0, 1}

// shardOf reads --shard I/N or, without it, what schedulers tell a task: a Slurm array
// task its number among those of the array, a Kubernetes indexed job its index, beside
// which SOAKLEDGER_SHARDS must say how many there are, as the job's completions do.
func shardOf(text string) (shard, error) {
	if text != "" {
		return parseShard(text)
	}
	if task := os.Getenv("SLURM_ARRAY_TASK_ID"); task != "" {
		return slurmShard(task)
	}
	if index := os.Getenv("JOB_COMPLETION_INDEX"); index != "" {
		count := os.Getenv("SOAKLEDGER_SHARDS")
		if count == "" {
			return shard{}, usage("JOB_COMPLETION_INDEX is %s, but how many shards there are is not said: set SOAKLEDGER_SHARDS to the job's completions, or give --shard %s/N", index, index)
		}
		return parseShard(index + "/" + count)
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
	return shard{i, n}, nil
}

// slurmShard reads the place of an array task among min, min+step, ..., max.
func slurmShard(task string) (shard, error) {
	number := func(name string, otherwise int) (int, error) {
		text := os.Getenv(name)
		if text == "" {
			return otherwise, nil
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			return 0, usage("%s is %q, not a number; give --shard I/N", name, text)
		}
		return n, nil
	}
	id, err := strconv.Atoi(task)
	if err != nil {
		return shard{}, usage("SLURM_ARRAY_TASK_ID is %q, not a number; give --shard I/N", task)
	}
	first, err := number("SLURM_ARRAY_TASK_MIN", 0)
	if err != nil {
		return shard{}, err
	}
	step, err := number("SLURM_ARRAY_TASK_STEP", 1)
	if err != nil {
		return shard{}, err
	}
	last, err := number("SLURM_ARRAY_TASK_MAX", id)
	if err != nil {
		return shard{}, err
	}
	count := (last-first)/max(step, 1) + 1
	index := (id - first) / max(step, 1)
	if index < 0 || index >= count || first+index*step != id {
		return shard{}, usage("array task %d does not lie among %d to %d by %d; give --shard I/N", id, first, last, step)
	}
	return shard{index, count}, nil
}
