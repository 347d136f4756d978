package main

import "os"

// residentMB is not known here.
func residentMB(*os.ProcessState) float64 { return 0 }
