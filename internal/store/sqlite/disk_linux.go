package sqlite

import (
	"syscall"
)

// drive says what kind of file system a folder is on, as statfs(2) names them
// (linux/magic.h): fit to keep a data file, and if not, why.
func drive(folder string) (name string, fit fitness) {
	var st syscall.Statfs_t
	if syscall.Statfs(folder, &st) != nil {
		return "", unknown // Open says what is wrong with the folder
	}
	switch uint32(st.Type) {
	case 0x6969:
		return "NFS", shared
	case 0x517b, 0xff534d42, 0xfe534d42:
		return "SMB", shared
	case 0x73757245, 0x5346414f, 0x6b414653: // Coda, OpenAFS, AFS
		return "network", shared
	case 0x794c7630:
		return "overlay", passing
	case 0x01021994, 0x858458f6: // tmpfs, ramfs
		return "memory", passing
	}
	return "", fine
}
