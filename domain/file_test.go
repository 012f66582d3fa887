package domain_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// product.md, Log: a picture that must go is hidden by a keeper and a steward
// together.
func TestTwoPeopleHideAFileAKeeperAndASteward(t *testing.T) {
	signed := func(by domain.Person, keeper, steward bool) []domain.FileHide {
		return []domain.FileHide{{By: by, Keeper: keeper, Steward: steward, Reason: "a face"}}
	}
	both := append(signed(bram, true, false), signed(wen, false, true)...)
	olwen := domain.Person{ID: 8, Name: "Olwen Prys"}
	for name, c := range map[string]struct {
		who   domain.AccountID
		roles []domain.Role
		hides []domain.FileHide
		code  string
		words string
	}{
		"a keeper first":                        {wen.ID, []domain.Role{domain.Keeper}, nil, "", ""},
		"a steward first":                       {wen.ID, []domain.Role{domain.Steward}, nil, "", ""},
		"a checker":                             {wen.ID, []domain.Role{domain.Checker}, nil, "not-keeper", "Bram Oduya, Olwen Prys"},
		"a steward after a keeper":              {wen.ID, []domain.Role{domain.Steward}, signed(bram, true, false), "", ""},
		"a keeper after a steward":              {wen.ID, []domain.Role{domain.Keeper}, signed(bram, false, true), "", ""},
		"a keeper after a keeper":               {wen.ID, []domain.Role{domain.Keeper}, signed(bram, true, false), "same-role", "Olwen Prys"},
		"a steward after a steward":             {wen.ID, []domain.Role{domain.Steward}, signed(olwen, false, true), "same-role", "Bram Oduya"},
		"a keeper after one who is both":        {wen.ID, []domain.Role{domain.Keeper}, signed(bram, true, true), "", ""},
		"one who is both after a keeper":        {wen.ID, []domain.Role{domain.Keeper, domain.Steward}, signed(bram, true, false), "", ""},
		"the same one, who is both":             {bram.ID, []domain.Role{domain.Keeper, domain.Steward}, signed(bram, true, true), "same-person", "Olwen Prys"},
		"the same one, with another role since": {bram.ID, []domain.Role{domain.Steward}, signed(bram, true, false), "same-person", "Olwen Prys"},
		"a third":                               {olwen.ID, []domain.Role{domain.Keeper, domain.Steward}, both, "file-hidden", "a face"},
	} {
		access := access(c.who, false, c.roles...)
		access.Keepers, access.Stewards = []domain.Person{bram}, []domain.Person{olwen}
		f := domain.File{Hides: c.hides}
		_, err := domain.Authorize(domain.Actor{Account: c.who}, access, domain.HideFiles)
		if err == nil {
			err = f.MaySign(access)
		}
		allowed := f.Allows(domain.Actor{Account: c.who}, access)
		if c.code == "" {
			require.NoError(t, err, name)
			require.Equal(t, []domain.Action{domain.HideFiles}, allowed, name)
			continue
		}
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, name)
		require.Equal(t, c.code, e.Code, name)
		require.Contains(t, e.Message, c.words, name)
		require.Empty(t, allowed, name)
	}
	access := access(bram.ID, false, domain.Keeper)
	access.Keepers = []domain.Person{bram}
	require.ErrorContains(t, domain.File{Hides: signed(bram, true, false)}.MaySign(access), "nobody in the group can")
}

func TestNamesOfFiles(t *testing.T) {
	for name, fits := range map[string]bool{
		"IMG_2041.jpg": true, "Flansch – Leck (2).jpg": true, strings.Repeat("ä", 200): true,
		"": false, " ": false, strings.Repeat("ä", 201): false, "../../etc/passwd": false, `C:\flange.jpg`: false, "a\nb.jpg": false,
		"invoice\u202egpj.exe": false, // which reads as invoiceexe.jpg
	} {
		c := domain.KeepFile{Name: name, Data: []byte("x"), Key: "file-00001"}
		require.Equal(t, fits, c.Validate() == nil, "%q", name)
	}
	c := domain.KeepFile{Name: "a.jpg", Key: "file-00001"}
	require.Equal(t, map[string]string{"": "missing"}, fieldsOf(t, c.Validate()))
}
