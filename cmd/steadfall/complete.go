package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// choices are the values that the shell offers for flags of a name; where two commands mean
// different things by one name, both are right for them.
var choices = map[string]func() []string{
	"task": func() []string { return strings.Split(taskNames(), ", ") },
	"limb": func() []string {
		return []string{string(kinematics.Both), string(kinematics.Left), string(kinematics.Right)}
	},
	"leg":       func() []string { return []string{string(kinematics.Left), string(kinematics.Right)} },
	"sex":       func() []string { return []string{"female", "male", "other"} },
	"placer":    func() []string { return pipeline.Placers },
	"language":  func() []string { return []string{"en", "de"} },
	"view":      views,
	"checklist": scoring.Names,
	"ladder":    scoring.LadderNames,
}

func views() []string {
	return []string{string(kinematics.Front), string(pipeline.Sideways), string(kinematics.SideLeft), string(kinematics.SideRight)}
}

// orFiles are the choices beside which a file of one's own may be named.
var orFiles = []string{"checklist", "ladder"}

// endingsOf are the endings of the files that flags of a name take.
var endingsOf = map[string][]string{
	"front": clipEndings, "side": clipEndings,
	"front-track": {".csv"}, "side-track": {".csv"}, "front-placements": {".json"}, "side-placements": {".json"}, "placements": {".json"},
}

// offer has the shell offer values for the flags of a command and of those below it, and what
// the bare words of the bundled lists and of clips can be.
func offer(cmd *cobra.Command) {
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if all, ok := choices[f.Name]; ok {
			after := cobra.ShellCompDirectiveNoFileComp
			if slices.Contains(orFiles, f.Name) {
				after = cobra.ShellCompDirectiveDefault
			}
			_ = cmd.RegisterFlagCompletionFunc(f.Name, cobra.FixedCompletions(all(), after)) // fails only where it was done before
		}
		if endings, ok := endingsOf[f.Name]; ok {
			_ = cmd.RegisterFlagCompletionFunc(f.Name, files(endings))
		}
	})
	if cmd.ValidArgsFunction == nil {
		switch strings.TrimSpace(callOf(cmd)) {
		case "checklist show":
			cmd.ValidArgsFunction = cobra.FixedCompletions(scoring.Names(), cobra.ShellCompDirectiveNoFileComp)
		case "ladder show":
			cmd.ValidArgsFunction = cobra.FixedCompletions(scoring.LadderNames(), cobra.ShellCompDirectiveNoFileComp)
		case "inspect", "track":
			cmd.ValidArgsFunction = files(clipEndings)
		case "trials":
			cmd.ValidArgsFunction = files([]string{".json"})
		}
	}
	for _, c := range cmd.Commands() {
		offer(c)
	}
}

// files offers files of some endings.
func files(endings []string) cobra.CompletionFunc {
	var plain []string
	for _, e := range endings {
		plain = append(plain, strings.TrimPrefix(e, "."))
	}
	return cobra.FixedCompletions(plain, cobra.ShellCompDirectiveFilterFileExt)
}
