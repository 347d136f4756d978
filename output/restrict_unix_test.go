//go:build unix

package output

import (
	"os"
	"os/signal"
	"strconv"
	"syscall"
)

// canRestrict says that restrict does something.
const canRestrict = true

// restrict limits this process: the bytes of a file, and, if it is root's, the
// user.
func restrict(fileBytes, user string) error {
	if fileBytes != "" {
		n, err := strconv.ParseUint(fileBytes, 10, 64)
		if err != nil {
			return err
		}
		signal.Ignore(syscall.SIGXFSZ) // then writing answers EFBIG
		var limit syscall.Rlimit
		limit.Cur, limit.Max = n, n
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
	}
	if user == "" || os.Getuid() != 0 {
		return nil
	}
	id, err := strconv.Atoi(user)
	if err != nil {
		return err
	}
	if err := syscall.Setgid(id); err != nil {
		return err
	}
	return syscall.Setuid(id)
}
