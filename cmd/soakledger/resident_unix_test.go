//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
)

// residentMB returns the most memory that a process that has ended held, MB.
func residentMB(p *os.ProcessState) float64 {
	usage, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" { // in bytes there
		return float64(usage.Maxrss) / 1e6
	}
	return float64(usage.Maxrss) * 1024 / 1e6
}
