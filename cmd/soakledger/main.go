// Soakledger predicts how coolant, metal and chips of a liquid-cooled computer
// move through time under real work.
package main

import "os"

func main() {
	os.Exit(start(os.Args[1:], os.Stdout, os.Stderr))
}
