package output

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// claimStem begins the own names of markers in work.
const claimStem = "begun"

// staleAfter is the age from which a temporary file is nobody's, wherever it
// comes from: parts take seconds or minutes.
const staleAfter = 24 * time.Hour

// ownName returns a name that no other process or call has: stem, host, process
// and a random number.
func ownName(stem string) string {
	return fmt.Sprintf("%s-%s-%d-%08x", stem, hostName(), os.Getpid(), rand.Uint32())
}

// hostName returns the name of this machine in letters and digits.
func hostName() string {
	host, err := os.Hostname()
	if err != nil {
		host = "host"
	}
	host = strings.Map(func(r rune) rune {
		if strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", r) {
			return r
		}
		return '_'
	}, host)
	return fmt.Sprintf("%.40s", host)
}

// parseOwnName is the inverse of ownName; the stem is empty for any other name.
func parseOwnName(name string) (stem, host string, pid int) {
	words := strings.Split(name, "-")
	if len(words) < 4 {
		return "", "", 0
	}
	last := words[len(words)-3:]
	_, err := strconv.ParseUint(last[2], 16, 32)
	pid, pidErr := strconv.Atoi(last[1])
	if err != nil || len(last[2]) != 8 || pidErr != nil || pid <= 0 || last[0] == "" {
		return "", "", 0
	}
	return strings.Join(words[:len(words)-3], "-"), last[0], pid
}

// leftovers sorts the entries of a temporary folder with own names into those
// of dead processes and those that may be in work. Dead is a process of this
// machine that is gone, or a file that has not been written to for a day.
func leftovers(folder string) (dead, living []string, err error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, nil, err
	}
	for _, e := range entries {
		stem, host, pid := parseOwnName(e.Name())
		if stem == "" {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue // it has just been renamed or removed
		}
		if host == hostName() && !isAlive(pid) || time.Since(info.ModTime()) > staleAfter {
			dead = append(dead, filepath.Join(folder, e.Name()))
		} else {
			living = append(living, filepath.Join(folder, e.Name()))
		}
	}
	return dead, living, nil
}

// removeStale removes what dead processes have left in the temporary folder; a
// folder that is not there has nothing.
func removeStale(folder string) error {
	dead, _, err := leftovers(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, name := range dead {
		if err := removeIfThere(name); err != nil {
			return err
		}
	}
	return nil
}
