package pgtest

import (
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Cluster is three servers under Patroni in strict synchronous mode, and the etcd by
// which they agree who is the primary, each in a folder of its own as on a machine of
// its own.
type Cluster struct {
	bin, folder, etcd string
	cred              *syscall.Credential
	nodes             []*node
}

type node struct {
	name, folder, at, rest string
}

// patroni is the settings of a node. A primary that says nothing is given up on after
// ttl, and one whose server crashed at once.
const patroni = `scope: endfloat
name: %[1]s
restapi: {listen: '%[3]s', connect_address: '%[3]s'}
etcd3: {hosts: '%[4]s'}
bootstrap:
  dcs:
    ttl: 8
    loop_wait: 1
    retry_timeout: 3
    synchronous_mode: true
    synchronous_mode_strict: true
    master_start_timeout: 0
    primary_start_timeout: 0
    postgresql:
      use_pg_rewind: true
      parameters: {max_connections: 100, shared_buffers: 32MB, wal_keep_size: 512MB, dynamic_shared_memory_type: mmap}
  initdb: [{encoding: UTF8}, {locale: C.UTF-8}, data-checksums]
  pg_hba: ['host all all 127.0.0.1/32 trust', 'host replication all 127.0.0.1/32 trust']
postgresql:
  listen: '%[2]s'
  connect_address: '%[2]s'
  data_dir: '%[5]s/data'
  bin_dir: '%[6]s'
  pgpass: '%[5]s/pgpass'
  authentication:
    superuser: {username: endfloat}
    replication: {username: replicator}
  parameters: {unix_socket_directories: '%[5]s'}
  remove_data_directory_on_rewind_failure: true
  remove_data_directory_on_diverged_timelines: true
`

// NewCluster starts one and waits until all three run. Whatever becomes of the test
// program, nothing of it is left.
func NewCluster(t testing.TB) *Cluster {
	t.Helper()
	for _, p := range []string{"patroni", "etcd"} {
		if _, err := exec.LookPath(p); err != nil {
			t.Skip("no cluster that fails over: install Debian's packages patroni, etcd-server and postgresql to run this test: ", err)
		}
	}
	bin, err := binaries()
	must(t, err)
	c := &Cluster{bin: bin, etcd: free(t)}
	c.cred, err = owner()
	must(t, err)
	c.folder, err = os.MkdirTemp(place(), "endfloat-cluster")
	must(t, err)
	c.leaveNothing(t)
	must(t, c.own(c.folder))
	peer := "http://" + free(t)
	c.start(t, c.make(t, "etcd"), "etcd", "--data-dir", "data", "--logger", "zap",
		"--listen-client-urls", "http://"+c.etcd, "--advertise-client-urls", "http://"+c.etcd,
		"--listen-peer-urls", peer, "--initial-advertise-peer-urls", peer, "--initial-cluster", "default="+peer)
	for i := range 3 {
		n := &node{name: fmt.Sprint("n", i+1), at: free(t), rest: free(t)}
		n.folder = c.make(t, n.name)
		text := fmt.Sprintf(patroni, n.name, n.at, n.rest, c.etcd, n.folder, bin)
		must(t, os.WriteFile(filepath.Join(n.folder, "patroni.yml"), []byte(text), 0o644))
		c.nodes = append(c.nodes, n)
		c.Start(t, i)
		if i == 0 {
			c.wait(t, time.Minute, func(m []Member) bool { return len(m) == 1 && m[0].Role == "leader" && m[0].State == "running" })
		}
	}
	c.Whole(t)
	return c
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func free(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	defer l.Close()
	return l.Addr().String()
}

func (c *Cluster) own(path string) error {
	if c.cred == nil {
		return nil
	}
	return os.Chown(path, int(c.cred.Uid), int(c.cred.Gid))
}

func (c *Cluster) make(t testing.TB, name string) string {
	t.Helper()
	folder := filepath.Join(c.folder, name)
	must(t, os.Mkdir(folder, 0o755))
	must(t, c.own(folder))
	return folder
}

// leaveNothing has a shell wait for the end of this program, however that comes, and
// then kill all that works in the cluster's folder: servers outlive their Patroni.
func (c *Cluster) leaveNothing(t testing.TB) {
	t.Helper()
	const script = `read x
for again in 1 2 3; do
	for p in /proc/[0-9]*; do
		case $(readlink $p/cwd) in "$0"/*) kill -9 ${p#/proc/} ;; esac
	done
	sleep 0.2
done 2>/dev/null
rm -rf "$0"`
	r, w, err := os.Pipe()
	must(t, err)
	cmd := exec.Command("sh", "-c", script, c.folder)
	cmd.Dir, cmd.Stdin, cmd.SysProcAttr = "/", r, &syscall.SysProcAttr{Setsid: true}
	must(t, cmd.Start())
	r.Close()
	t.Cleanup(func() {
		if t.Failed() {
			for _, n := range c.nodes {
				b, _ := os.ReadFile(filepath.Join(n.folder, "says"))
				t.Logf("%s says at the end:\n%s", n.name, b[max(0, len(b)-4000):])
			}
		}
		w.Close()
		cmd.Wait()
	})
}

// start runs a program in a folder, and adds what it says to a file there.
func (c *Cluster) start(t testing.TB, folder, name string, args ...string) {
	t.Helper()
	says, err := os.OpenFile(filepath.Join(folder, "says"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	must(t, err)
	defer says.Close()
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = folder, says, says
	cmd.Env = append(os.Environ(), "ETCD_UNSUPPORTED_ARCH=", "LC_ALL=C.UTF-8", "HOME="+folder)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: c.cred, Setsid: true}
	must(t, cmd.Start())
	go cmd.Wait()
}

// Start runs the Patroni of a node, which runs its server.
func (c *Cluster) Start(t testing.TB, i int) {
	t.Helper()
	c.start(t, c.nodes[i].folder, "patroni", "patroni.yml")
}

// Signal sends a signal to all that runs on a node, or to its server alone.
func (c *Cluster) Signal(t testing.TB, i int, sig syscall.Signal, serverAlone bool) {
	t.Helper()
	in := c.nodes[i].folder
	if serverAlone {
		in = filepath.Join(in, "data")
	}
	sent := 0
	for range 2 { // one that was begun meanwhile
		pids, err := filepath.Glob("/proc/[0-9]*")
		must(t, err)
		for _, p := range pids {
			cwd, err := os.Readlink(p + "/cwd")
			if err != nil || cwd != in && !strings.HasPrefix(cwd, in+"/") {
				continue
			}
			pid, err := strconv.Atoi(filepath.Base(p))
			must(t, err)
			if syscall.Kill(pid, sig) == nil {
				sent++
			}
		}
	}
	if sent == 0 {
		t.Fatalf("nothing runs on %s", c.nodes[i].name)
	}
}

// URL is the address of the database at whichever node is the primary.
func (c *Cluster) URL() string {
	var hosts []string
	for _, n := range c.nodes {
		hosts = append(hosts, n.at)
	}
	return "postgres://endfloat@" + strings.Join(hosts, ",") + "/postgres?target_session_attrs=read-write"
}

// Member is what Patroni says of a node.
type Member struct {
	Name, Role, State string
	Timeline          int
}

// members asks the nodes one after the other.
func (c *Cluster) members() (m []Member, err error) {
	client := http.Client{Timeout: time.Second}
	for _, n := range c.nodes {
		var r *http.Response
		if r, err = client.Get("http://" + n.rest + "/cluster"); err != nil {
			continue
		}
		var all struct{ Members []Member }
		err = errors.Join(json.NewDecoder(r.Body).Decode(&all), r.Body.Close())
		if err == nil {
			return all.Members, nil
		}
	}
	return nil, err
}

func (c *Cluster) wait(t testing.TB, most time.Duration, enough func([]Member) bool) []Member {
	t.Helper()
	var m []Member
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		var err error
		if m, err = c.members(); err == nil && enough(m) {
			return m
		}
	}
	t.Fatalf("the cluster did not come to rest in %s: %+v", most, m)
	return nil
}

// Whole waits until all three run and one is the synchronous standby, and returns
// which is the primary.
func (c *Cluster) Whole(t testing.TB) int {
	t.Helper()
	m := c.wait(t, 2*time.Minute, func(m []Member) bool {
		roles := map[string]int{}
		for _, x := range m {
			if x.State != "running" && x.State != "streaming" || x.Timeline != m[0].Timeline {
				return false
			}
			roles[x.Role]++
		}
		return len(m) == 3 && roles["leader"] == 1 && roles["sync_standby"] == 1
	})
	for i, n := range c.nodes {
		for _, x := range m {
			if x.Name == n.name && x.Role == "leader" {
				return i
			}
		}
	}
	t.Fatal("no primary")
	return 0
}

// Versions says what it is made of.
func (c *Cluster) Versions() string {
	var all []string
	for _, cmd := range []*exec.Cmd{exec.Command(filepath.Join(c.bin, "postgres"), "--version"), exec.Command("patroni", "--version"), exec.Command("etcd", "--version")} {
		out, _ := cmd.Output()
		first, _, _ := strings.Cut(string(out), "\n")
		all = append(all, first)
	}
	return strings.Join(all, ", ")
}
