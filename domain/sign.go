package domain

// Proof is what somebody shows to sign: the signing code, or the password.
type Proof struct {
	Code     string
	Password string
}

// SignedBy says with what somebody signed.
type SignedBy string

// The ways to sign.
const (
	ByCode     SignedBy = "code"
	ByPassword SignedBy = "password"
)

// Validate finds what is missing, below a pointer into the request. Where only
// the password will do, a code is refused.
func (p Proof) Validate(at string, passwordOnly bool) []Field {
	switch {
	case passwordOnly && p.Password == "":
		return []Field{{at + "/password", "missing", "Sign this with your password."}}
	case p.Password == "" && p.Code == "":
		return []Field{{at + "/code", "missing", "Sign with your signing code, or with your password."}}
	case p.Password != "" && p.Code != "":
		return []Field{{at + "/code", "inconsistent", "Sign with the code or with the password, not with both."}}
	}
	return nil
}

// WrongProof returns the Invalid error for a code or password that isn't the
// signer's.
func WrongProof(p Proof, signer string) error {
	if p.Password != "" {
		return Faulty([]Field{{"/password", "wrong", "This is not the password of " + signer + ". Nothing was signed."}})
	}
	return Faulty([]Field{{"/code", "wrong", "This is not the signing code of " + signer + ". Nothing was signed. The password will do as well."}})
}

// NoSigningCode returns the Invalid error for somebody who has no code yet.
func NoSigningCode(signer string) error {
	return Faulty([]Field{{"/code", "not_set", signer + " has no signing code yet. Sign with the password, or set a code under You."}})
}

// Tried returns the error for too many wrong codes, which still leaves the
// password.
func Tried(err error, p Proof) error {
	if e, ok := err.(*Error); ok && e.Kind == TooMany { //nolint:errorlint // made by the limit, never wrapped
		told := *e
		told.Code = "too-many-signatures"
		if p.Code != "" {
			told.Message = "Too many wrong codes. Sign with the password, or wait a quarter of an hour."
		}
		return &told
	}
	return err
}
