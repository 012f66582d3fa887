package api

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// caller says who may call a route. It has no useful zero value.
type caller int

const (
	anyone caller = iota + 1
	member        // signed in
	device        // a logger with its own token, which is good for nothing else
)

// route is one line of the table. What anyone may call gets an empty actor.
type route struct {
	method string
	path   string
	who    caller
	do     func(s *server, c echo.Context, who domain.Actor) error
}

// routes is the whole API. openapi.yaml describes each, and no other.
var routes = []route{
	{http.MethodGet, "/healthz", anyone, (*server).healthz},
	{http.MethodGet, "/readyz", anyone, (*server).readyz},
	{http.MethodGet, "/api/v1/openapi.yaml", anyone, (*server).contract},

	{http.MethodGet, "/api/v1/setup", anyone, (*server).setup},
	{http.MethodPost, "/api/v1/setup/keeper", anyone, (*server).firstKeeper},
	{http.MethodPost, "/api/v1/session", anyone, (*server).signIn},
	{http.MethodPost, "/api/v1/session/refresh", anyone, (*server).refresh},
	{http.MethodDelete, "/api/v1/session", member, (*server).signOut},
	{http.MethodGet, "/api/v1/me", member, (*server).me},
	{http.MethodPatch, "/api/v1/me", member, (*server).changeMe},
	{http.MethodPut, "/api/v1/me/password", member, (*server).changePassword},
	{http.MethodPut, "/api/v1/me/signing-code", member, (*server).setSigningCode},
	{http.MethodGet, "/api/v1/me/sessions", member, (*server).sessions},
	{http.MethodDelete, "/api/v1/me/sessions", member, (*server).endOtherSessions},
	{http.MethodDelete, "/api/v1/me/sessions/:session", member, (*server).endSession},
	{http.MethodGet, "/api/v1/asks", member, (*server).asks},
	{http.MethodGet, "/api/v1/waiting", member, (*server).waiting},

	{http.MethodGet, "/api/v1/group", member, (*server).group},
	{http.MethodPut, "/api/v1/group/settings", member, (*server).setGroupSettings},
	{http.MethodGet, "/api/v1/group/acts", member, (*server).acts},
	{http.MethodPut, "/api/v1/members/:member/roles", member, (*server).setRoles},
	{http.MethodPost, "/api/v1/members/:member/reset-code", member, (*server).giveResetCode},
	{http.MethodPost, "/api/v1/members/:member/close", member, (*server).closeAccount},
	{http.MethodGet, "/api/v1/invitations", member, (*server).invitations},
	{http.MethodPost, "/api/v1/invitations", member, (*server).invite},
	{http.MethodDelete, "/api/v1/invitations/:invitation", member, (*server).withdrawInvitation},
	{http.MethodPost, "/api/v1/invitations/accept", anyone, (*server).acceptInvitation},
	{http.MethodPost, "/api/v1/password-reset", anyone, (*server).resetPassword},

	{http.MethodGet, "/api/v1/group/safety", member, (*server).safety},
	{http.MethodPost, "/api/v1/group/safety", member, (*server).proposeSafety},
	{http.MethodGet, "/api/v1/group/safety/proposals", member, (*server).safetyProposals},
	{http.MethodPost, "/api/v1/group/safety/:setting/signatures", member, (*server).approveSafety},
	{http.MethodGet, "/api/v1/templates", member, (*server).templates},
	{http.MethodPost, "/api/v1/templates", member, (*server).proposeTemplate},
	{http.MethodGet, "/api/v1/templates/:version", member, (*server).template},
	{http.MethodPost, "/api/v1/templates/:version/signatures", member, (*server).approveTemplate},
	{http.MethodGet, "/api/v1/instruments", member, (*server).instruments},
	{http.MethodPost, "/api/v1/instruments", member, (*server).addInstrument},
	{http.MethodGet, "/api/v1/instruments/:instrument", member, (*server).instrument},
	{http.MethodPut, "/api/v1/instruments/:instrument", member, (*server).correctInstrument},
	{http.MethodGet, "/api/v1/instruments/:instrument/acts", member, (*server).instrumentActs},
	{http.MethodPost, "/api/v1/instruments/:instrument/calibrations", member, (*server).calibrate},
	{http.MethodPost, "/api/v1/instruments/:instrument/found-wrong", member, (*server).foundWrong},
	{http.MethodPost, "/api/v1/instruments/:instrument/retire", member, (*server).retireInstrument},
	{http.MethodGet, "/api/v1/evidence", member, (*server).evidence},
	{http.MethodGet, "/api/v1/coefficient-sets", member, (*server).setProposals},
	{http.MethodPost, "/api/v1/coefficient-sets", member, (*server).proposeSet},
	{http.MethodGet, "/api/v1/coefficient-sets/:proposal", member, (*server).setProposal},
	{http.MethodPost, "/api/v1/coefficient-sets/:proposal/adopt", member, (*server).adoptSet},
	{http.MethodGet, "/api/v1/record", member, (*server).record},

	{http.MethodGet, "/api/v1/stock", member, (*server).stock},
	{http.MethodPost, "/api/v1/stock", member, (*server).recordStock},
	{http.MethodPut, "/api/v1/stock/:item", member, (*server).correctStock},
	{http.MethodDelete, "/api/v1/stock/:item", member, (*server).removeStock},

	{http.MethodGet, "/api/v1/projects", member, (*server).projects},
	{http.MethodPost, "/api/v1/projects", member, (*server).startProject},
	{http.MethodPost, importRoute, member, (*server).importProject},
	{http.MethodGet, "/api/v1/projects/:project", member, (*server).project},
	{http.MethodPatch, "/api/v1/projects/:project", member, (*server).changeProject},
	{http.MethodGet, "/api/v1/projects/:project/export", member, (*server).exportProject},
	{http.MethodGet, "/api/v1/projects/:project/site", member, (*server).site},
	{http.MethodPut, "/api/v1/projects/:project/site", member, (*server).describeSite},
	{http.MethodGet, "/api/v1/projects/:project/site/gaugings", member, (*server).gaugings},
	{http.MethodPost, "/api/v1/projects/:project/site/gaugings", member, (*server).recordGauging},

	{http.MethodGet, "/api/v1/projects/:project/log", member, (*server).projectLog},
	{http.MethodPost, "/api/v1/projects/:project/log", member, (*server).writeEntry},
	{http.MethodPost, "/api/v1/projects/:project/log/:entry/incident", member, (*server).markIncident},
	{http.MethodPost, "/api/v1/projects/:project/log/:entry/rest", member, (*server).restIncident},
	{http.MethodPost, filesRoute, member, (*server).keepFile},
	{http.MethodGet, filesRoute + "/:file", member, (*server).file},
	{http.MethodPost, filesRoute + "/:file/hide", member, (*server).hideFile},

	{http.MethodPost, "/api/v1/projects/:project/crew", member, (*server).addToCrew},
	{http.MethodDelete, "/api/v1/projects/:project/crew/me", member, (*server).leaveCrew},
	{http.MethodGet, "/api/v1/projects/:project/crew/others", member, (*server).othersThanCrew},
	{http.MethodPost, "/api/v1/projects/:project/crew/asks", member, (*server).askMember},
	{http.MethodDelete, "/api/v1/projects/:project/crew/asks/:ask", member, (*server).withdrawAsk},
	{http.MethodPost, "/api/v1/projects/:project/crew/asks/:ask/answer", member, (*server).answerAsk},

	{http.MethodPost, "/api/v1/projects/:project/designs", member, (*server).startDesign},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design", member, (*server).design},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design/revisions", member, (*server).revisions},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions", member, (*server).startRevision},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design/revisions/:letter/sheets", member, (*server).sheets},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions/:letter/sheets", member, (*server).saveSheet},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design/revisions/:letter/sheets/:number", member, (*server).sheet},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design/revisions/:letter/sheets/:number/cuts", member, (*server).cuts},

	{http.MethodGet, "/api/v1/projects/:project/builds", member, (*server).builds},
	{http.MethodPost, "/api/v1/projects/:project/builds", member, (*server).startBuild},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build", member, (*server).build},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/export", member, (*server).exportBuild},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/versions", member, (*server).changeBuild},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/state", member, (*server).changeBuildState},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/builders", member, (*server).addBuilder},
	{http.MethodGet, "/api/v1/builds/tags/:tag", member, (*server).taggedBuild},

	{http.MethodGet, "/api/v1/projects/:project/designs/:design/revisions/:letter", member, (*server).revision},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions/:letter/issue", member, (*server).issueRevision},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions/:letter/take-back", member, (*server).takeBackRevision},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions/:letter/outcomes", member, (*server).checkDesign},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/revisions/:letter/withdraw", member, (*server).withdrawRevision},
	{http.MethodGet, "/api/v1/projects/:project/designs/:design/remarks", member, (*server).remarks},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/remarks", member, (*server).raiseRemark},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/remarks/:remark/answers", member, (*server).answerRemark},
	{http.MethodPost, "/api/v1/projects/:project/designs/:design/remarks/:remark/rest", member, (*server).layRemark},

	{http.MethodGet, "/api/v1/projects/:project/builds/:build/tests", member, (*server).tests},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/tests", member, (*server).startTest},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/tests/:test", member, (*server).test},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/tests/:test/entries", member, (*server).recordItem},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/tests/:test/signatures", member, (*server).signItem},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/tests/:test/close", member, (*server).closeNonconformance},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/certificate", member, (*server).certificates},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/certificate", member, (*server).issueCertificate},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/certificate/revoke", member, (*server).revokeCertificate},

	{http.MethodGet, "/api/v1/projects/:project/builds/:build/runs", member, (*server).runs},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs", member, (*server).openRun},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/runs/:run", member, (*server).run},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/runs/:run/export", member, (*server).exportRun},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/points", member, (*server).addRunPoint},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/points/:point/readings", member, (*server).recordReading},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/readings/:reading/strikes", member, (*server).strikeReading},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/submit", member, (*server).submitRun},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/confirm", member, (*server).confirmRun},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/runs/:run/set-aside", member, (*server).setRunAside},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/runs/:run/verdict", member, (*server).verdict},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/runs/:run/plan", member, (*server).runPlan},

	{http.MethodGet, runRoute + "/files", member, (*server).seriesFiles},
	{http.MethodPost, runRoute + "/files", member, (*server).addSeriesFile},
	{http.MethodGet, runRoute + "/files/:file", member, (*server).seriesFile},
	{http.MethodPut, partRoute, member, (*server).putSeriesPart},
	{http.MethodPost, completeRoute, member, (*server).completeSeriesFile},
	{http.MethodGet, runRoute + "/files/:file/chart", member, (*server).seriesChart},
	{http.MethodGet, windowsRoute, member, (*server).seriesWindows},
	{http.MethodPost, windowsRoute, member, (*server).takeWindow},
	{http.MethodPost, windowsRoute + "/:window/decisions", member, (*server).decideWindow},
	{http.MethodGet, runRoute + "/loggers", member, (*server).loggersOfRun},
	{http.MethodGet, runRoute + "/loggers/:logger/chart", member, (*server).loggerChart},
	{http.MethodGet, "/api/v1/projects/:project/builds/:build/loggers", member, (*server).loggers},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/loggers", member, (*server).makeLogger},
	{http.MethodPost, "/api/v1/projects/:project/builds/:build/loggers/:logger/revoke", member, (*server).revokeLogger},
	{http.MethodPost, samplesRoute, device, (*server).sendSamples},

	{http.MethodGet, "/api/v1/preview", member, (*server).describeSheet},
	{http.MethodPost, "/api/v1/preview", member, (*server).preview},
	{http.MethodGet, "/api/v1/catalogue", member, (*server).catalogue},
	{http.MethodGet, "/api/v1/searches", member, (*server).describeSearch},
	{http.MethodPost, "/api/v1/searches", member, (*server).startSearch},
	{http.MethodGet, "/api/v1/searches/:search", member, (*server).search},
	{http.MethodDelete, "/api/v1/searches/:search", member, (*server).cancelSearch},
	{http.MethodGet, "/api/v1/calc", member, (*server).calculations},
	{http.MethodGet, "/api/v1/calc/:family", member, (*server).describeCalculation},
	{http.MethodPost, "/api/v1/calc/:family", member, (*server).runCalculation},
	{http.MethodGet, "/api/v1/calc/:family/:name", member, (*server).describeCalculation},
	{http.MethodPost, "/api/v1/calc/:family/:name", member, (*server).runCalculation},
}

// guarded returns the handler of a route behind its own authentication.
func (s *server) guarded(r route) echo.HandlerFunc {
	switch r.who {
	case anyone:
		return s.forAnyone(r)
	case device:
		return s.forLogger(r)
	case member:
		return func(c echo.Context) error {
			who, err := s.signedIn(c)
			if err != nil {
				return err
			}
			return r.do(s, c, who)
		}
	}
	panic(fmt.Sprintf("api: %s %s does not say who may call it", r.method, r.path))
}

// forAnyone limits how often an address may try what needs no sign-in and
// does work: sign-in, refresh, set-up and one-time codes.
func (s *server) forAnyone(r route) echo.HandlerFunc {
	return func(c echo.Context) error {
		if r.method != http.MethodGet {
			if err := s.tries.count(networkOf(c)); err != nil {
				return err
			}
		}
		return r.do(s, c, domain.Actor{})
	}
}
