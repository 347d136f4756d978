// Soakledger predicts how coolant, metal and chips of a liquid-cooled computer
// move through time under real work.
package main

import (
	"os"
	"runtime"
)

// slack is memory that is never touched, and so none that the system hands out, but that
// the garbage collector counts: it lets that much more garbage gather before it sets to
// work. A run holds next to nothing and leaves a fifth of a megabyte behind, so that it
// would otherwise be called every few runs. Unlike a higher GOGC it does not make a run
// that holds much hold several times as much.
const slack = 64 << 20

func main() {
	ballast := make([]byte, slack)
	code := start(os.Args[1:], os.Stdout, os.Stderr)
	runtime.KeepAlive(ballast)
	os.Exit(code)
}
