package sim_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// levels is the table of DEVELOPERS.md: a package imports only from lower
// rows. Within a row a parent may import its children and nothing else.
var levels = map[string]int{
	"sim/sparse": 0, "sim/spec": 0, "sim/fluid": 0, "sim/correlation": 0, "sim/record": 0,
	"sim/ode": 1, "sim/ode/odetest": 1,
	"sim/work": 1, "sim/control": 1, "sim/part": 1, "sim/metric": 1,
	"sim/network": 2, "sim/network/networktest": 2,
	"sim/assemble": 3, "sim/equilibrium": 3,
	"sim": 4, "sim/sweep": 5, "sim/fit": 6, "sim/study": 6,
	"scenarios/quantity": 6,
	"scenarios":          7, "scenarios/log": 7,
	"output": 7, "output/parquet": 7, "output/figure": 7,
	"cmd/soakledger": 8,
}

// never lists imports that are wrong even from a higher row, as "package:
// import" with our own packages by their folder.
var never = map[string][]string{
	"sim/spec":        {"*ours"},
	"sim/fluid":       {"*ours"},
	"sim/correlation": {"*ours"},
	"sim/sparse":      {"*ours"},
	"sim/record":      {"*ours"},
	"sim/ode":         {"sim/network", "sim/fluid", "sim/part", "sim/record"},
	"sim/work":        {"sim/part", "sim/ode"},
	"sim/part":        {"sim/network", "sim/ode"},
	"sim/metric":      {"sim/ode", "sim/network"},
	"sim/network":     {"sim/ode"},
	"sim/assemble":    {"sim/ode", "sim/record"},
	"sim/equilibrium": {"sim/ode"},
	"output":          {"sim", "sim/network", "sim/ode", "sim/part", "sim/fluid", "sim/assemble"},
	"output/parquet":  {"sim", "sim/network", "sim/ode", "sim/part", "sim/fluid", "sim/assemble"},
	"output/figure":   {"output", "output/parquet", "sim", "sim/network", "sim/ode", "sim/part", "sim/fluid", "sim/assemble"},
	"cmd/soakledger":  {"sim/network", "sim/part", "sim/fluid", "output/parquet"},
}

// only lists foreign modules that few may import.
var only = map[string][]string{
	"github.com/parquet-go/parquet-go": {"output/parquet", "scenarios/log"},
	"github.com/spf13/viper":           {"cmd/soakledger"},
	"github.com/spf13/cobra":           {"cmd/soakledger"},
	"gonum.org/v1/plot":                {"output/figure"},
	"go.yaml.in/yaml/v4":               {"scenarios"},
}

const module = "soakledger/"

// TestImportsRunDownhill reads the files themselves: go list, run from a test,
// can be answered by the test cache.
func TestImportsRunDownhill(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir("..", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || d.Name() == ".git" || d.Name() == "node_modules") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		from := filepath.ToSlash(filepath.Dir(strings.TrimPrefix(filepath.ToSlash(name), "../")))
		seen[from] = true
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			to, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			checkImport(t, name, from, to)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range levels {
		if !seen[name] {
			t.Errorf("%s has a row in the table but no code", name)
		}
	}
}

// checkImport reports an import that the table does not allow.
func checkImport(t *testing.T, file, from, to string) {
	t.Helper()
	for foreign, users := range only {
		if to == foreign || strings.HasPrefix(to, foreign+"/") {
			for _, u := range users {
				if u == from {
					return
				}
			}
			t.Errorf("%s imports %s, which only %v may", file, to, users)
		}
	}
	level, known := levels[from]
	if !known {
		t.Errorf("%s: package %s has no row in the table", file, from)
		return
	}
	own, ours := strings.CutPrefix(to, module)
	if !ours {
		return
	}
	for _, n := range never[from] {
		if n == "*ours" || n == own {
			t.Errorf("%s imports %s, which %s never may", file, own, from)
		}
	}
	target, known := levels[own]
	if child := strings.HasPrefix(own, from+"/") || path.Dir(from) == own; known && (target < level || target == level && child) {
		return
	}
	t.Errorf("%s imports %s: level %d from level %d", file, own, target, level)
}

// TestImportRulesBite makes sure that the check above can fail.
func TestImportRulesBite(t *testing.T) {
	for _, c := range []struct{ from, to string }{
		{"sim/network", "soakledger/sim/ode"},
		{"sim/ode", "soakledger/sim/network"},
		{"sim/fluid", "soakledger/sim/spec"},
		{"output", "soakledger/sim/network"},
		{"scenarios", "soakledger/output"},
		{"scenarios", "github.com/spf13/viper"},
		{"output", "github.com/parquet-go/parquet-go"},
		{"output/figure", "soakledger/output"},
		{"cmd/soakledger", "gonum.org/v1/plot/vg"},
		{"sim/unlisted", "fmt"},
	} {
		probe := &testing.T{}
		checkImport(probe, "probe.go", c.from, c.to)
		if !probe.Failed() {
			t.Errorf("%s may import %s", c.from, c.to)
		}
	}
}
