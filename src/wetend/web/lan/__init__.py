"""A depot's pages over HTTPS on the local network, without an administrator.

The depot makes a certificate authority of its own, once; phones that trust it open the pages over
HTTPS, so that they may keep copies and hear. Not in here: certificates that somebody else issued.
"""
