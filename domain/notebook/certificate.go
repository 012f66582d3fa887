package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Certificates returns what is known about the certificates of a build.
func (n *Notebook) Certificates(ctx context.Context, who domain.Actor, project domain.ProjectID, build domain.BuildID, page domain.Page) (domain.Certificates, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Certificates, error) {
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return domain.Certificates{}, err
		}
		return n.certificates(tx, who, access, build, page)
	})
}

func (n *Notebook) certificates(tx *store.Tx, who domain.Actor, access domain.Access, build domain.BuildID, page domain.Page) (c domain.Certificates, err error) {
	if access.Builders, err = tx.BuildersOf(access.Project, build); err != nil {
		return c, err
	}
	if c.All, err = tx.Certificates(build, page); err != nil {
		return c, err
	}
	if page.Before == 0 && len(c.All) > 0 {
		newest := c.All[0]
		if newest.Body, err = tx.CertificateBody(newest.ID); err != nil {
			return c, err
		}
		c.Newest = &newest
	}
	number, err := tx.PassedTest(build)
	if err == nil && number > 0 {
		c.Ready, err = n.readyTest(tx, domain.TestRef{Project: access.Project, Build: build, Number: number})
	}
	c.Now = n.now()
	c.Shown(who, access)
	return c, err
}

// readyTest is a passed test that wants a certificate.
func (n *Notebook) readyTest(tx *store.Tx, ref domain.TestRef) (*domain.ReadyTest, error) {
	t, err := tx.Test(ref, n.demo)
	if err != nil {
		return nil, err
	}
	settings, err := tx.SafetySettings()
	if err != nil {
		return nil, err
	}
	today, err := tx.Today(n.now())
	return &domain.ReadyTest{Test: t, Latest: t.LatestExpiry(today, settings)}, err
}

// IssueCertificate issues, with the password, a certificate on a test that was
// passed: a steward does who neither built the machine nor signed the test as
// second. A retry by the same steward returns the first one, and made is false.
func (n *Notebook) IssueCertificate(ctx context.Context, who domain.Actor, cmd domain.IssueCertificate) (c domain.Certificates, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		if _, _, _, err := n.mayIssue(tx, who, cmd); err != nil {
			return err
		}
		return cmd.Validate()
	})
	if err != nil {
		return c, false, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return c, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, issued, err := n.mayIssue(tx, who, cmd)
		if made = !issued; made && err == nil {
			err = n.certify(tx, who, permit, cmd)
		}
		if err != nil {
			return err
		}
		c, err = n.certificates(tx, who, access, cmd.Test.Build, domain.Page{})
		return err
	})
	return c, made, err
}

// mayIssue decides whether somebody may issue a certificate on a test; issued
// says that they did before.
func (n *Notebook) mayIssue(tx *store.Tx, who domain.Actor, cmd domain.IssueCertificate) (access domain.Access, permit domain.Permit, issued bool, err error) {
	access, permit, err = authorizeAtBuild(tx, who, cmd.Test.Project, cmd.Test.Build, domain.CertifyBuild)
	if err != nil {
		return access, permit, false, err
	}
	t, err := tx.Test(cmd.Test, n.demo)
	if err != nil {
		return access, permit, false, err
	}
	if t.Certified {
		issuer, err := tx.IssuerOf(t.ID)
		if err != nil || issuer == who.Account {
			return access, permit, true, err
		}
	}
	if err := tx.TestedHere(t.ID); err != nil {
		return access, permit, false, err
	}
	return access, permit, false, t.MayIssue(access)
}

func (n *Notebook) certify(tx *store.Tx, who domain.Actor, permit domain.Permit, cmd domain.IssueCertificate) error {
	t, err := tx.Test(cmd.Test, n.demo)
	if err != nil {
		return err
	}
	b, err := n.build(tx, who, cmd.Test.Project, cmd.Test.Build)
	if err != nil {
		return err
	}
	c, err := n.newCertificate(tx, who, t, b, cmd)
	if err != nil {
		return err
	}
	if err := tx.WouldHold(t, c); err != nil {
		return err
	}
	p, err := tx.Project(cmd.Test.Project)
	if err != nil {
		return err
	}
	return tx.IssueCertificate(permit, t, c, func(head domain.RecordHead) any { return domain.Certify(p.Title, b, t, c, head) })
}

func (n *Notebook) newCertificate(tx *store.Tx, who domain.Actor, t domain.Test, b domain.Build, cmd domain.IssueCertificate) (c domain.Certificate, err error) {
	settings, err := tx.SafetySettings()
	if err != nil {
		return c, err
	}
	zone, err := tx.TimeZone()
	if err != nil {
		return c, err
	}
	c = domain.Certificate{
		Build: b.ID, Test: t.Number, BuildVersion: t.BuildVersion, Pressure: t.Pressure, Site: domain.SiteOf(b.Now.Place, b.Now.Moves),
		IssuedBy: domain.Person{ID: who.Account, Name: who.Name}, IssuedAt: n.now(),
	}
	if c.ExpiresOn, err = t.Expiry(cmd.ExpiresOn, domain.DayIn(c.IssuedAt, zone), settings); err != nil {
		return c, err
	}
	c.ExpiresAt = domain.EndOf(c.ExpiresOn, zone)
	return c, nil
}

// RevokeCertificate ends, with the password, the certificate of a build; any
// steward may, since that only takes away.
func (n *Notebook) RevokeCertificate(ctx context.Context, who domain.Actor, cmd domain.RevokeCertificate) (domain.Certificates, error) {
	may := func(tx *store.Tx) (domain.Access, domain.Permit, domain.Certificate, error) {
		access, permit, err := authorizeAtBuild(tx, who, cmd.Project, cmd.Build, domain.EndCertificate)
		if err != nil {
			return access, permit, domain.Certificate{}, err
		}
		c, err := tx.NewestCertificate(cmd.Build)
		if err == nil && c.End != nil {
			err = domain.CertificateEnded(*c.End)
		}
		return access, permit, c, err
	}
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		_, _, _, err := may(tx)
		if err == nil {
			err = cmd.Validate()
		}
		return err
	})
	if err != nil {
		return domain.Certificates{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return domain.Certificates{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Certificates, error) {
		access, permit, c, err := may(tx)
		if err != nil {
			return domain.Certificates{}, err
		}
		if err := tx.RevokeCertificate(permit, c.ID, cmd, n.now()); err != nil {
			return domain.Certificates{}, err
		}
		return n.certificates(tx, who, access, cmd.Build, domain.Page{})
	})
}
