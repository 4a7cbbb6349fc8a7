package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/store/postgres"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/storetest"

	"github.com/google/uuid"
)

// The database goes away under a program that serves it: what watches hears so soon, a
// note that is sent meanwhile waits and is kept once, and when the database is back all
// goes on. Where it stays away, both screen and answer say so in plain words.
func TestDatabaseGone(t *testing.T) {
	db := pgtest.New(t)
	addr := db.URL(t)
	twoJobs(t, "--db", addr)
	_, base := listen(t, serveBase(addr)...)
	health := func() (int, string) { return fetch(t, base+"/healthz") }
	if code, says := health(); code != http.StatusOK {
		t.Fatalf("healthz: %d %s", code, says)
	}
	db.Down()
	body, err := json.Marshal(map[string]any{"id": uuid.NewString(), "kind": "noted", "by": "test", "body": job.Noted{Text: "sent while it was away"}})
	check(t, err)
	answer := make(chan string)
	go func() {
		ok, says := ask(base, "/api/job/heron/entry", body)
		if ok {
			says = "kept"
		}
		answer <- says
	}()
	began := time.Now() // the moment it went
	code, says := health()
	if took := time.Since(began); code != http.StatusServiceUnavailable || !strings.Contains(says, "cannot be read") || took > 8*time.Second {
		t.Errorf("healthz without a database: %d %q after %v", code, says, took)
	}
	toldSoon(t, base)
	if storetest.Long(false, true) {
		<-answer // after 50 s it was told so, too
	}
	db.Up(t)
	up := time.Now()
	eventually(t, "the program is well again", 10*time.Second, func() bool { code, _ := health(); return code == http.StatusOK })
	if storetest.Long(false, true) {
		go func() { _, says := ask(base, "/api/job/heron/entry", body); answer <- says }()
		<-answer
	} else if says := <-answer; says != "kept" {
		t.Errorf("the note that waited: %s", says)
	}
	t.Logf("answered again %v after it was back", time.Since(up).Round(time.Millisecond))
	if code, says := fetch(t, base+"/job/heron/book"); code != http.StatusOK || !strings.Contains(says, "sent while it was away") {
		t.Errorf("the note is not on the page (%d)", code)
	}
	s, err := postgres.Open(t.Context(), addr)
	check(t, err)
	defer s.Close()
	lines, err := s.Lines(t.Context(), "heron", 0)
	check(t, err)
	if last := lines[len(lines)-1]; len(lines) != 2 || !strings.Contains(string(last.Bytes), "sent while it was away") {
		t.Errorf("%d entries, the last %s; want the opening and the note", len(lines), last.Bytes)
	}
}

// toldSoon asks for a page and for data, and is told within seconds.
func toldSoon(t *testing.T, base string) {
	for _, path := range []string{"/job/heron", "/api/job/heron/status"} {
		began := time.Now()
		code, says := fetch(t, base+path)
		if took := time.Since(began); took > 25*time.Second { // 8 s, and one try more on a busy machine
			t.Errorf("%s was answered after %v", path, took)
		}
		if code != http.StatusServiceUnavailable || !strings.Contains(says, "The database does not answer") || !strings.Contains(says, "See that its server runs") {
			t.Errorf("%s: %d %.600s", path, code, says)
		}
	}
}

func fetch(t *testing.T, address string) (code int, says string) {
	t.Helper()
	resp, err := client.Get(address)
	check(t, err)
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	check(t, err)
	return resp.StatusCode, string(b)
}

// The machine of the database is lost under load. From a base backup and the log that
// pg_receivewal received, as docs/operations.md says it, another holds every entry that
// was acknowledged, once.
func TestReceivedLog(t *testing.T) {
	db := pgtest.New(t)
	addr := db.URL(t)
	kept := db.Owned(t)
	base, log := filepath.Join(kept, "base"), filepath.Join(kept, "log")
	tool := func(name string, args ...string) {
		t.Helper()
		if out, err := db.Tool(t, kept, name, args...).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, out)
		}
	}
	tool("mkdir", log)
	check(t, db.Try(t.Context(), "SELECT pg_create_physical_replication_slot('archive', true)"))
	receiver := db.Tool(t, kept, "pg_receivewal", "--slot", "archive", "-D", log, "--synchronous", "-d", db.Address("application_name", "archive"))
	var trouble bytes.Buffer
	receiver.Stderr = &trouble
	check(t, receiver.Start())
	t.Cleanup(func() {
		end(receiver)
		if t.Failed() {
			t.Logf("pg_receivewal: %s", trouble.String())
		}
	})
	tool("pg_basebackup", "-D", base, "-c", "fast", "-d", db.Address())
	db.Set(t, "synchronous_standby_names", "'archive'")
	twoJobs(t, "--db", addr) // waits until it is received

	cmd, at := listen(t, serveBase(addr)...)
	c := newCrowd(t, 6)
	c.at[0].Store(&at)
	c.at[1].Store(&at)
	time.Sleep(storetest.Long(2*time.Second, time.Minute))
	db.Gone(t)
	end(cmd)
	end(receiver)

	conf, err := os.OpenFile(filepath.Join(base, "postgresql.auto.conf"), os.O_APPEND|os.O_WRONLY, 0)
	check(t, err)
	_, err = conf.WriteString("restore_command = 'cp " + log + "/%f %p || cp " + log + "/%f.partial %p'\n")
	check(t, err)
	check(t, conf.Close())
	tool("touch", filepath.Join(base, "recovery.signal"))
	db.Recover(t, base)
	eventually(t, "the database takes changes again", 20*time.Second, func() bool {
		return db.Try(t.Context(), "CREATE TEMPORARY TABLE x (x int)") == nil
	})
	said := run(t, "backup", filepath.Join(t.TempDir(), "all.db"), "--db", addr) // reads all of it
	_, at = listen(t, serveBase(addr)...)
	c.at[0].Store(&at)
	c.at[1].Store(&at)
	c.stop(t)
	r := c.reckon(t, addr)
	t.Logf("%d acknowledged, %d of them sent more than once; %s%s", r.acked, r.again, said, trouble.String())
	if r.acked < 20 {
		t.Error("too few were acknowledged: this test proves nothing")
	}
}
