package web

import (
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"

	"ionoscribe/internal/stationfile"
)

// replyOf is what a request is answered with.
func replyOf[T any](t *testing.T, s *Server, method, target, token, body string, status int) (v T) {
	t.Helper()
	a := ask(s, request(method, target, token, body))
	if a.Code != status {
		t.Fatalf("%s %s: %d %s, want %d", method, target, a.Code, a.Body, status)
	}
	must(t, json.Unmarshal(a.Body.Bytes(), &v))
	return v
}

func TestTrialFindsWhatWasHeard(t *testing.T) {
	s := smallServer(t)
	type trial struct {
		Faults []struct{ Key string }
		Count  int
		Whole  bool
		Caught []struct {
			Transmission int64
			Match        string
		}
	}
	got := replyOf[trial](t, s, "POST", "/api/rules/trial", "look", `{"name": "x", "text": ["SEVERE GALE"], "ways": ["script"]}`, http.StatusOK)
	if got.Count != 1 || len(got.Caught) != 1 || got.Caught[0].Transmission != 1 || got.Caught[0].Match != "SEVERE G?LE" || !got.Whole || len(got.Faults) != 0 {
		t.Errorf("%+v", got)
	}
	got = replyOf[trial](t, s, "POST", "/api/rules/trial", "look", `{"name": "", "programme": ["came"], "ways": []}`, http.StatusOK)
	if got.Count != 2 || len(got.Faults) != 2 {
		t.Errorf("%+v", got)
	}
	got = replyOf[trial](t, s, "POST", "/api/rules/trial", "look", `{"name": "x", "countries": ["Atlantis"], "ways": ["script"]}`, http.StatusOK)
	if got.Count != 0 || len(got.Faults) != 1 || got.Faults[0].Key != "countries" {
		t.Errorf("%+v", got)
	}
}

// A rule that is saved stands in station.toml, and all else of that stays.
func TestPutRule(t *testing.T) {
	s := smallServer(t)
	storm := `{"name": "storm", "text": ["STORM*"], "ways": ["script"], "least_interval": "30m"}`
	for _, target := range []string{"/api/rules/storm?dry_run=true", "/api/rules/storm"} {
		w := replyOf[written](t, s, "PUT", target, "change", storm, http.StatusOK)
		if dry := strings.Contains(target, "dry"); w.Written == dry || !strings.Contains(w.Text, `least_interval = "30m`) {
			t.Errorf("%s: %+v", target, w)
		}
	}
	text, err := os.ReadFile(s.configPath())
	must(t, err)
	if !strings.HasPrefix(string(text), configuration) || !strings.Contains(string(text), `text = ["STORM*"]`) {
		t.Errorf("%s", text)
	}
	_, rules := stationfile.Tables(text)
	if len(rules) != 2 || rules[1].Name != "storm" {
		t.Errorf("%+v", rules)
	}
	replyOf[written](t, s, "DELETE", "/api/rules/storm", "change", "", http.StatusOK)
	text, err = os.ReadFile(s.configPath())
	must(t, err)
	if got := strings.TrimSpace(string(text)); got != strings.TrimSpace(configuration) {
		t.Errorf("%s", got)
	}
	type refused struct{ Problems []configProblem }
	got := replyOf[refused](t, s, "PUT", "/api/rules/gale", "change", `{"name": "gale", "text": ["G"], "modes": ["smoke"], "ways": ["script"]}`, http.StatusUnprocessableEntity)
	if len(got.Problems) != 1 || got.Problems[0].Line == 0 || !strings.Contains(got.Problems[0].Message, "smoke") {
		t.Errorf("%+v", got)
	}
	if a := ask(s, request("PUT", "/api/rules/storm", "look", storm)); a.Code != http.StatusForbidden {
		t.Errorf("who may look wrote a rule: %d", a.Code)
	}
}

func TestAcknowledgedBy(t *testing.T) {
	s := smallServer(t)
	type list struct {
		Alerts []struct {
			Acknowledged   string `json:"acknowledged_utc"`
			AcknowledgedBy string `json:"acknowledged_by"`
			Deliveries     []delivery
		}
		Unacknowledged int
	}
	before := replyOf[list](t, s, "GET", "/api/alerts", "look", "", http.StatusOK)
	if before.Unacknowledged != 1 || before.Alerts[0].Acknowledged != "" || before.Alerts[0].Deliveries[0].Reply != "ok" {
		t.Errorf("%+v", before)
	}
	replyOf[map[string]int](t, s, "POST", "/api/alerts/acknowledge", "change", `{"up_to": 1}`, http.StatusOK)
	after := replyOf[list](t, s, "GET", "/api/alerts", "look", "", http.StatusOK)
	if after.Unacknowledged != 0 || after.Alerts[0].Acknowledged == "" || after.Alerts[0].AcknowledgedBy != "change" {
		t.Errorf("%+v", after)
	}
}
