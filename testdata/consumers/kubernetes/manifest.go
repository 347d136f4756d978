// Package kubernetes reads the manifest of a sweep on many machines with the types
// of the Kubernetes API, which share no code with ours, and checks what the API
// itself leaves to its server. It is a module of its own, so that soakledger does
// not depend on Kubernetes.
package kubernetes

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	batchv1 "k8s.io/api/batch/v1"
	corev1 "k8s.io/api/core/v1"
	"k8s.io/apimachinery/pkg/runtime"
	"k8s.io/apimachinery/pkg/runtime/serializer"
	"k8s.io/apimachinery/pkg/util/yaml"
)

// Manifest is what the file must hold: a job and the claim of its shared folder.
type Manifest struct {
	Job   *batchv1.Job
	Claim *corev1.PersistentVolumeClaim
}

// Read decodes every document of a manifest strictly: unknown and doubled fields,
// unknown kinds and documents beside the job and the claim are errors.
func Read(text string) (*Manifest, error) {
	scheme := runtime.NewScheme()
	if err := errors.Join(batchv1.AddToScheme(scheme), corev1.AddToScheme(scheme)); err != nil {
		return nil, err
	}
	decoder := serializer.NewCodecFactory(scheme, serializer.EnableStrict).UniversalDeserializer()
	m := new(Manifest)
	documents := yaml.NewDocumentDecoder(io.NopCloser(strings.NewReader(text)))
	defer documents.Close()
	buffer := make([]byte, 1<<20)
	for {
		n, err := documents.Read(buffer)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("manifest: %w", err)
		}
		object, _, err := decoder.Decode(buffer[:n], nil, nil)
		if err != nil {
			return nil, fmt.Errorf("manifest: %w", err)
		}
		switch object := object.(type) {
		case *batchv1.Job:
			m.Job = object
		case *corev1.PersistentVolumeClaim:
			m.Claim = object
		default:
			return nil, fmt.Errorf("manifest: a %T is neither the job nor its claim", object)
		}
	}
	if m.Job == nil || m.Claim == nil {
		return nil, errors.New("manifest: the job or the claim is missing")
	}
	return m, nil
}

// Container returns the one container of the job's pods.
func (m *Manifest) Container() (corev1.Container, error) {
	all := m.Job.Spec.Template.Spec.Containers
	if len(all) != 1 {
		return corev1.Container{}, fmt.Errorf("manifest: %d containers, want one", len(all))
	}
	return all[0], nil
}

// Check returns everything by which the pods would not share one sweep.
func (m *Manifest) Check() error {
	c, err := m.Container()
	if err != nil {
		return err
	}
	return errors.Join(m.checkShards(c), m.checkFailures(c), m.checkFolder(c), m.checkRights(c))
}

// checkShards: every index from 0 to completions-1 runs once and knows how many there are.
func (m *Manifest) checkShards(c corev1.Container) error {
	job, errs := m.Job.Spec, []error(nil)
	if job.CompletionMode == nil || *job.CompletionMode != batchv1.IndexedCompletion {
		errs = append(errs, errors.New("completionMode is not Indexed, so pods get no index"))
	}
	if job.Completions == nil || job.Parallelism == nil || *job.Parallelism < 1 || *job.Completions < *job.Parallelism {
		return errors.Join(append(errs, errors.New("completions and parallelism: want 1 <= parallelism <= completions"))...)
	}
	shards := ""
	for _, e := range c.Env {
		switch e.Name {
		case "SOAKLEDGER_SHARDS":
			shards = e.Value
		case "JOB_COMPLETION_INDEX":
			errs = append(errs, errors.New("JOB_COMPLETION_INDEX is the cluster's to set"))
		}
	}
	if shards != strconv.Itoa(int(*job.Completions)) {
		errs = append(errs, fmt.Errorf("SOAKLEDGER_SHARDS is %q, completions are %d", shards, *job.Completions))
	}
	return errors.Join(errs...)
}

// checkFailures: mistakes end the job, runs that ended early do not.
func (m *Manifest) checkFailures(c corev1.Container) error {
	job, errs := m.Job.Spec, []error(nil)
	if job.Template.Spec.RestartPolicy != corev1.RestartPolicyNever {
		errs = append(errs, fmt.Errorf("restartPolicy %q: podFailurePolicy needs Never", job.Template.Spec.RestartPolicy))
	}
	if job.PodFailurePolicy == nil {
		return errors.Join(append(errs, errors.New("no podFailurePolicy"))...)
	}
	want := map[int32]batchv1.PodFailurePolicyAction{2: batchv1.PodFailurePolicyActionFailJob, 3: batchv1.PodFailurePolicyActionIgnore}
	for code, action := range want {
		if got := actionOf(job.PodFailurePolicy, c.Name, code); got != action {
			errs = append(errs, fmt.Errorf("exit code %d leads to %q, want %q", code, got, action))
		}
	}
	return errors.Join(errs...)
}

// actionOf returns what the first rule for an exit code of a container does.
func actionOf(policy *batchv1.PodFailurePolicy, container string, code int32) batchv1.PodFailurePolicyAction {
	for _, rule := range policy.Rules {
		on := rule.OnExitCodes
		if on == nil || on.ContainerName != nil && *on.ContainerName != container {
			continue
		}
		if slices.Contains(on.Values, code) == (on.Operator == batchv1.PodFailurePolicyOnExitCodesOpIn) {
			return rule.Action
		}
	}
	return ""
}

// checkFolder: the claim is mounted, by all nodes at once, where the arguments point.
func (m *Manifest) checkFolder(c corev1.Container) error {
	if !slices.Contains(m.Claim.Spec.AccessModes, corev1.ReadWriteMany) {
		return errors.New("the claim is not ReadWriteMany")
	}
	for _, v := range m.Job.Spec.Template.Spec.Volumes {
		if v.PersistentVolumeClaim == nil || v.PersistentVolumeClaim.ClaimName != m.Claim.Name {
			continue
		}
		for _, mount := range c.VolumeMounts {
			if mount.Name == v.Name && len(c.Args) > 2 && strings.HasPrefix(c.Args[1], mount.MountPath+"/") && strings.HasPrefix(c.Args[2], "--out="+mount.MountPath+"/") {
				return nil
			}
		}
	}
	return fmt.Errorf("no mount of the claim %q holds the scenario file and the dataset", m.Claim.Name)
}

// checkRights: an unprivileged user, as in the image, with bounded resources.
func (m *Manifest) checkRights(c corev1.Container) error {
	var errs []error
	pod, own := m.Job.Spec.Template.Spec.SecurityContext, c.SecurityContext
	if pod == nil || pod.RunAsNonRoot == nil || !*pod.RunAsNonRoot || pod.RunAsUser == nil || pod.FSGroup == nil || *pod.FSGroup != *pod.RunAsUser {
		errs = append(errs, errors.New("the pod may run as root, or its user does not own the volume"))
	}
	if own == nil || own.AllowPrivilegeEscalation == nil || *own.AllowPrivilegeEscalation || own.ReadOnlyRootFilesystem == nil || !*own.ReadOnlyRootFilesystem ||
		own.Capabilities == nil || !slices.Contains(own.Capabilities.Drop, "ALL") {
		errs = append(errs, errors.New("the container keeps rights that it does not need"))
	}
	for _, name := range []corev1.ResourceName{corev1.ResourceCPU, corev1.ResourceMemory} {
		limit, request := c.Resources.Limits[name], c.Resources.Requests[name]
		if request.IsZero() || limit.Cmp(request) < 0 {
			errs = append(errs, fmt.Errorf("%s: want a request and a limit not below it", name))
		}
	}
	return errors.Join(errs...)
}
