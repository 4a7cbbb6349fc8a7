//go:build !linux

package pgtest

import "errors"

func start() (*Server, error) { return nil, errors.New("these tests start one on Linux only") }

func (s *Server) run() error { return errors.New("not on this system") }
func (s *Server) kill()      {}
func (s *Server) end()       {}

func place() string { return "" }
