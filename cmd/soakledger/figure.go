package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	fig "soakledger/output/figure"
)

// figureFlags are the settings of the figure command.
type figureFlags struct {
	runs, columns []string
	out, size     string
	replace       bool
}

// figureCommand draws runs over time.
func (a *app) figureCommand() *cobra.Command {
	var f figureFlags
	cmd := &cobra.Command{
		Use:     "figure DIR...",
		Short:   "Draw runs over time: warm-up and cool-down over the load",
		Long:    "figure draws the traces of one or several datasets, up to 8 runs over one axis of\ntime, above a strip of the power that was requested. Each column of the trace gets\na panel of its own. Lines are told apart by their dashes, so that the picture reads\nin grey. Where a log was laid beside a run, its values are drawn as circles.",
		Example: "  soakledger figure office_render-1a2b3c4d\n  soakledger figure slim deep --columns coolant_c,cpu_die_c --out compared.svg\n  soakledger figure study --runs 0,3,5\n  soakledger figure study --runs 0-7",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usage("figure needs at least one dataset folder, e.g. soakledger figure office_render-1a2b3c4d")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.drawFigure(args, f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.runs, "runs", nil, "numbers (run_id) and ranges of the runs to draw: 0,3,5 or 0-7 (default: all, up to 8)")
	flags.StringSliceVar(&f.columns, "columns", []string{"coolant_c"}, "columns of the trace, a panel each, up to 4")
	flags.StringVar(&f.out, "out", "soak", "FILE.png or FILE.svg; without an ending both are written")
	flags.StringVar(&f.size, "size", "1120x700", "width and height in pixels of 1/96 inch")
	flags.BoolVar(&f.replace, "replace", false, "replace a picture that is already there")
	// The settings' out is the folder of a dataset.
	if err := flags.SetAnnotation("out", unlayered, nil); err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

// drawFigure draws the runs of datasets.
func (a *app) drawFigure(dirs []string, f figureFlags) error {
	size, err := parseSize(f.size)
	if err != nil {
		return err
	}
	names, err := pictureNames(f.out, f.replace)
	if err != nil {
		return err
	}
	runs, err := parseRuns(f.runs)
	if err != nil {
		return err
	}
	drawn, err := figureOf(dirs, runs, f.columns)
	if err != nil {
		return err
	}
	// All pictures are drawn before the first is written.
	pictures := make([][]byte, len(names))
	for i, name := range names {
		draw := drawn.PNG
		if isSVG(name) {
			draw = drawn.SVG
		}
		if pictures[i], err = draw(size); err != nil {
			return usageError{err}
		}
	}
	for i, name := range names {
		if err := writePicture(name, pictures[i], f.replace); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(a.stdout, "picture  %s\n", name); err != nil {
			return err
		}
	}
	return nil
}

// parseSize reads 1120x700.
func parseSize(text string) (fig.Size, error) {
	var s fig.Size
	var rest string
	if n, _ := fmt.Sscanf(text, "%dx%d%s", &s.Width, &s.Height, &rest); n != 2 || s == (fig.Size{}) {
		return s, usage("--size %q: want width and height in pixels, for example 1120x700", text)
	}
	return s, nil
}

func isSVG(name string) bool { return strings.EqualFold(filepath.Ext(name), ".svg") }

// pictureNames returns the files to write. Unless they may be replaced they must not be
// there.
func pictureNames(out string, replace bool) ([]string, error) {
	var names []string
	switch ext := filepath.Ext(out); {
	case isSVG(out) || strings.EqualFold(ext, ".png"):
		names = []string{out}
	case ext == "" && out != "" && !os.IsPathSeparator(out[len(out)-1]):
		names = []string{out + ".png", out + ".svg"}
	default:
		return nil, usage("--out %q: want a name that ends in .png or .svg, or one without an ending, which writes both", out)
	}
	for _, name := range names {
		info, err := os.Lstat(name)
		switch {
		case err == nil && info.IsDir():
			return nil, usage("%s is a folder: name a file with --out", name)
		case err == nil && !replace:
			return nil, pictureExists(name)
		}
	}
	return names, nil
}

func pictureExists(name string) error {
	return usage("%s is already there (--replace, or --out FILE)", name)
}

// writePicture writes a file whole or not at all, over another only if that may be
// replaced.
func writePicture(name string, content []byte, replace bool) (err error) {
	defer func() {
		if err != nil && !errors.As(err, new(usageError)) {
			err = fmt.Errorf("writing the picture %s: %w", name, err)
		}
	}()
	dir, base := filepath.Split(name)
	own := filepath.Join(dir, fmt.Sprintf(".%s-%d", base, os.Getpid()))
	f, err := os.OpenFile(own, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrNotExist) {
		return usage("--out %s: there is no folder %s", name, filepath.Clean(dir))
	}
	if err != nil {
		return err
	}
	defer func() {
		if removing := os.Remove(own); removing != nil && !errors.Is(removing, fs.ErrNotExist) {
			err = errors.Join(err, removing)
		}
	}()
	_, err = f.Write(content)
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if replace {
		return os.Rename(own, name)
	}
	if err = os.Link(own, name); errors.Is(err, fs.ErrExist) { // it came while we drew
		return pictureExists(name)
	} else if err == nil {
		return nil
	}
	return os.Rename(own, name) // a file system without links
}
