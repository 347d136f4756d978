package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"soakledger/output"
)

// version of the engine; it is part of every dataset's hash.
const version = "0.4.0"

// Exit codes.
const (
	exitDone        = 0
	exitFailed      = 1   // the engine failed
	exitUsage       = 2   // bad input or usage
	exitPartly      = 3   // done, but a run failed or left the model's range
	exitInterrupted = 130 // what is finished is kept
)

// usageError marks an error that the caller can mend.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

// usage wraps a mistake in the call or in a file.
func usage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// errPartly ends a command whose result is written but carries a status other
// than done.
var errPartly = errors.New("a run ended early")

// start runs the program under the signals of the process.
func start(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second one ends the process at once
	return run(ctx, args, stdout, stderr)
}

// run is the whole program: arguments in, an exit code out.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	app := &app{stdout: stdout, stderr: stderr}
	root := app.root()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errPartly):
		return exitPartly
	case ctx.Err() != nil && errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "interrupted")
		return exitInterrupted
	}
	fmt.Fprintln(stderr, err)
	var u usageError
	var damaged *output.DamagedError // its text says what mends it
	if errors.As(err, &u) || errors.As(err, &damaged) {
		return exitUsage
	}
	return exitFailed
}

// app carries what all commands share.
type app struct {
	stdout, stderr io.Writer
}

// root assembles the commands.
func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "soakledger",
		Short:         "How a liquid-cooled computer soaks up heat, and gives it back",
		Long:          "soakledger predicts how coolant, metal and chips of a custom liquid-cooled\ncomputer move through time under real work: how long a loop takes to soak,\nhow far it rises over the room, how much a short test reads low.\n\nA calculation, not a safety case: follow makers' instructions, local codes and\nlicensed practice.",
		Example:       "  soakledger examples\n  soakledger run example:office_render",
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetVersionTemplate("soakledger {{.Version}}\n")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usage("%w; see %s --help", err, cmd.CommandPath())
	})
	root.AddCommand(a.checkCommand(), a.runCommand(), a.sweepCommand(), a.compareCommand(), a.showCommand(), a.exportCommand(), a.figureCommand(), a.examplesCommand(), a.partsCommand())
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error { return layer(cmd) }
	return root
}

// noArgs refuses arguments, naming the first.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage("unknown command %q; see soakledger --help", args[0])
	}
	return nil
}

// oneArg asks for exactly one argument of the given name.
func oneArg(name, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return usage("%s needs one %s, %d given, e.g. soakledger %s %s", cmd.Name(), name, len(args), cmd.Name(), example)
		}
		return nil
	}
}
