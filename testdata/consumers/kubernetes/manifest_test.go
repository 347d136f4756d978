package kubernetes

import (
	"bytes"
	"errors"
	"flag"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

const deploy = "../../../cmd/soakledger/deploy/"

var program = flag.String("soakledger", "", "the program that the pods run")

// manifest reads the file as it is shipped.
func manifest(t *testing.T) (string, *Manifest) {
	t.Helper()
	text, err := os.ReadFile(deploy + "kubernetes.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := Read(string(text))
	if err != nil {
		t.Fatal(err)
	}
	return string(text), m
}

func TestManifest(t *testing.T) {
	_, m := manifest(t)
	if err := m.Check(); err != nil {
		t.Error(err)
	}
}

// Each mistake, made in the shipped file, is found.
func TestMistakesAreFound(t *testing.T) {
	text, _ := manifest(t)
	for _, c := range []struct{ old, new, want string }{
		{"completionMode: Indexed", "completionmode: Indexed", `unknown field "spec.completionmode"`},
		{"  parallelism: 16", "  parallelism: 16\n  parallelism: 8", "parallelism"},
		{"kind: Job", "kind: Jobs", `no kind "Jobs"`},
		{"apiVersion: batch/v1", "apiVersion: batch/v9", "batch/v9"},
		{"parallelism: 16", "parallelism: many", "parallelism"},
		{"memory: 1Gi", "memory: 1 GB", "quantities"},
		{"completionMode: Indexed", "completionMode: NonIndexed", "not Indexed"},
		{"completions: 16", "completions: 20", "SOAKLEDGER_SHARDS"},
		{"completions: 16", "completions: 8", "1 <= parallelism <= completions"},
		{"name: SOAKLEDGER_SHARDS", "name: JOB_COMPLETION_INDEX", "the cluster's to set"},
		{"restartPolicy: Never", "restartPolicy: OnFailure", "needs Never"},
		{"values: [3]", "values: [1]", "exit code 3"},
		{"action: FailJob", "action: Count", "exit code 2"},
		{"accessModes: [ReadWriteMany]", "accessModes: [ReadWriteOnce]", "not ReadWriteMany"},
		{"claimName: soakledger", "claimName: other", "no mount of the claim"},
		{"mountPath: /data", "mountPath: /elsewhere", "no mount of the claim"},
		{"runAsNonRoot: true", "runAsNonRoot: false", "may run as root"},
		{"drop: [ALL]", "drop: [CHOWN]", "keeps rights"},
		{`limits: {cpu: "2"`, `limits: {cpu: "1"`, "cpu: want"},
		{"---\n", "---\napiVersion: v1\nkind: ConfigMap\n---\n", "neither the job nor its claim"},
	} {
		if strings.Count(text, c.old) < 1 {
			t.Errorf("%q is not in the manifest", c.old)
			continue
		}
		m, err := Read(strings.Replace(text, c.old, c.new, 1))
		if err == nil {
			err = m.Check()
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q for %q: %v, want %q in it", c.new, c.old, err, c.want)
		}
	}
}

// The user of the pods is that of the image.
func TestUserOfImage(t *testing.T) {
	_, m := manifest(t)
	text, err := os.ReadFile("../../../Dockerfile")
	if err != nil {
		t.Fatal(err)
	}
	user := regexp.MustCompile(`(?m)^USER (\d+):(\d+)$`).FindSubmatch(text)
	pod := m.Job.Spec.Template.Spec.SecurityContext
	if user == nil || string(user[1]) != strconv.FormatInt(*pod.RunAsUser, 10) || string(user[2]) != strconv.FormatInt(*pod.RunAsGroup, 10) {
		t.Errorf("the image's user is %q, the pods' %d:%d", user, *pod.RunAsUser, *pod.RunAsGroup)
	}
}

// The program, run as each pod would run it, with the manifest's arguments and
// environment and nothing else, makes the dataset of one plain sweep. The pods of a
// study in which runs end early exit with 3 and, when they are run again as the
// policy says, with 0.
func TestPodsShareOneSweep(t *testing.T) {
	if *program == "" {
		t.Fatal("which program? go test -args -soakledger FILE")
	}
	_, m := manifest(t)
	study, err := os.ReadFile("../slurm/study.yaml")
	if err != nil {
		t.Fatal(err)
	}
	volume := t.TempDir()
	if err := os.WriteFile(filepath.Join(volume, "my.yaml"), study, 0o600); err != nil {
		t.Fatal(err)
	}
	ended := map[int]int{}
	for _, wantZero := range []bool{false, true} {
		for i := range int(*m.Job.Spec.Completions) {
			code, output := pod(t, m, volume, i)
			ended[code]++
			if code != 0 && (wantZero || code != 3) {
				t.Errorf("pod %d ended with %d: %s", i, code, output)
			}
		}
	}
	if ended[3] == 0 {
		t.Error("no pod ended with 3, though designs of the study leave the model's range")
	}
	plain := filepath.Join(volume, "plain")
	if output, err := exec.Command(*program, "sweep", filepath.Join(volume, "my.yaml"), "--out", plain, "--no-traces", "--quiet").CombinedOutput(); err != nil {
		if exit := (*exec.ExitError)(nil); !errors.As(err, &exit) || exit.ExitCode() != 3 {
			t.Fatalf("%v: %s", err, output)
		}
	}
	same(t, plain, filepath.Join(volume, "my_study"))
}

// pod runs the program with one index; paths on the volume lead to a folder.
func pod(t *testing.T, m *Manifest, volume string, index int) (int, string) {
	t.Helper()
	c, err := m.Container()
	if err != nil {
		t.Fatal(err)
	}
	onVolume := strings.NewReplacer(c.VolumeMounts[0].MountPath+"/", volume+"/")
	cmd := exec.Command(*program)
	for _, a := range c.Args {
		cmd.Args = append(cmd.Args, onVolume.Replace(a))
	}
	cmd.Dir = "/"
	cmd.Env = []string{"JOB_COMPLETION_INDEX=" + strconv.Itoa(index)}
	for _, e := range c.Env {
		cmd.Env = append(cmd.Env, e.Name+"="+e.Value)
	}
	output, err := cmd.CombinedOutput()
	if exit := (*exec.ExitError)(nil); err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode(), string(output)
}

// same compares all files of two datasets.
func same(t *testing.T, a, b string) {
	t.Helper()
	n := 0
	for _, pair := range [][2]string{{a, b}, {b, a}} {
		err := filepath.WalkDir(pair[0], func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			n++
			name, err := filepath.Rel(pair[0], path)
			if err != nil {
				return err
			}
			one, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			other, err := os.ReadFile(filepath.Join(pair[1], name))
			if err != nil {
				return err
			}
			if !bytes.Equal(one, other) {
				t.Errorf("%s differs", name)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	}
	if n < 2 {
		t.Errorf("%d files compared", n)
	}
}
